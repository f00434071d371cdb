"""How far the ears may move up and down, or sideways, before the level changes."""

from __future__ import annotations

from typing import Literal

import numpy as np
import xarray as xr

from acoustics.case.model import BAND, SMOOTHING
from acoustics.listening.bands import in_band, why_not_covered
from acoustics.listening.distances import distances
from acoustics.listening.interpolation import cubic
from acoustics.listening.levels import smoothed_power

TOLERANCE = 3.0
"""dB: the span ends where the level differs by more from that at the ears."""

STEP = 0.01
"""m: spacing at which the ends are looked for before they are interpolated."""


def height_span(
    view: xr.Dataset, smoothing: float | None = SMOOTHING, tolerance: float = TOLERANCE
) -> xr.Dataset:
    """Heights about each ear height over which the level stays near that at the ears.

    At every frequency, in free space: the contiguous range of heights in which the smoothed level
    is within `tolerance` of that at the ear height.

    Args:
        view: a prediction as one listener hears it (`listeners.heard`).
        smoothing: denominator of the fraction of an octave over which power is averaged; None
            for no smoothing.
        tolerance: dB.

    Returns:
        span_low, span_high (ear_height, frequency), m above the floor; span_open (ear_height,
        frequency), true where the span reaches an end of the predicted heights, so that it is at
        least this high. From 300 Hz to 10 kHz, over ear_height: narrowest_span (m),
        narrowest_frequency (Hz), where that is, and narrowest_open, true where even that is open.
        Where the predicted frequencies do not allow these they are NaN, and the attribute `note`
        says why; else it is empty.
    """
    ears = view.ear_height.values
    return _spans(view, "height", ears, smoothing, tolerance).assign_coords(
        ear_height=view.ear_height
    )


def aside_span(
    view: xr.Dataset, smoothing: float | None = SMOOTHING, tolerance: float = TOLERANCE
) -> xr.Dataset:
    """Distances to the left and right of the seat over which the level stays near that at it.

    As `height_span`, along the line sideways through the ears.

    Returns:
        span_low, span_high, span_open (frequency) and narrowest_span, narrowest_frequency,
        narrowest_open as in `height_span`, in m to the right of the seat and without ear_height.
    """
    return _spans(view, "aside", np.zeros(1), smoothing, tolerance).isel(ear_height=0)


def ends_about(
    x: np.ndarray, level: np.ndarray, place: float, at_place: np.ndarray, tolerance: float
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Ends of the contiguous range about a place in which a level stays within a tolerance.

    Args:
        x: ascending, m, shape (point,).
        level: dB, shape (…, point); straight between the points.
        place: m, within `x`.
        at_place: the level there, dB, shape (…).
        tolerance: dB.

    Returns:
        Lower end, upper end (m), and whether the range reaches an end of `x`; shape (…). The ends
        are NaN where the level at the place is not finite.
    """
    known = np.isfinite(at_place)
    away = level - np.where(known, at_place, 0.0)[..., None]
    below, above = x < place, x > place
    low, low_open = _end(place, x[below][::-1], away[..., below][..., ::-1], tolerance)
    high, high_open = _end(place, x[above], away[..., above], tolerance)
    return (
        np.where(known, low, np.nan),
        np.where(known, high, np.nan),
        known & (low_open | high_open),
    )


def _end(
    place: float, x: np.ndarray, away: np.ndarray, tolerance: float
) -> tuple[np.ndarray, np.ndarray]:
    """Where a difference, 0 at the place, first passes the tolerance on the way outward.

    Returns:
        The end, or the last point where the tolerance is never passed, and whether that is so.
    """
    x = np.concatenate(([place], x))
    away = np.concatenate((np.zeros((*away.shape[:-1], 1)), away), axis=-1)
    outside = np.abs(away) > tolerance
    never = ~outside.any(axis=-1)
    last = np.where(never, 1, outside.argmax(axis=-1))
    if x.size == 1:
        return np.full(never.shape, place), never
    inner = np.take_along_axis(away, last[..., None] - 1, axis=-1)[..., 0]
    outer = np.take_along_axis(away, last[..., None], axis=-1)[..., 0]
    limit = np.copysign(tolerance, outer)
    with np.errstate(invalid="ignore", divide="ignore"):  # where never passed, not used
        part = (limit - inner) / (outer - inner)
        end = x[last - 1] + part * (x[last] - x[last - 1])
    return np.where(never, x[-1], end), never


def _spans(
    view: xr.Dataset,
    line: Literal["height", "aside"],
    places: np.ndarray,
    smoothing: float | None,
    tolerance: float,
) -> xr.Dataset:
    """Spans about some places of a line, dims (ear_height, frequency)."""
    frequency, x = view.frequency.values, view[line].values
    # Without the delay over the distance, what is left changes slowly along the line.
    turn = 2 * np.pi * view.frequency / view.attrs["speed_of_sound"] * distances(view, line)
    still = (view[f"{line}_total"] * np.exp(1j * turn)).transpose("frequency", line).values
    fine = np.linspace(x[0], x[-1], max(round((x[-1] - x[0]) / STEP), x.size - 1) + 1)
    pressure = cubic(x, still, np.concatenate((fine, places)))
    power = xr.DataArray(np.abs(pressure) ** 2, dims=("frequency", "place"))
    with np.errstate(divide="ignore"):
        levels = 10 * np.log10(smoothed_power(power, frequency, smoothing).values)
    along, at_places = levels[:, : fine.size], levels[:, fine.size :]
    found = [
        ends_about(fine, along, place, at, tolerance)
        for place, at in zip(places, at_places.T, strict=True)
    ]
    low, high, reached = (np.array(each) for each in zip(*found, strict=True))

    note = why_not_covered(frequency, BAND, smoothing)
    width = np.where(in_band(frequency, BAND), high - low, np.inf)
    # A place without a level has no span: argmin then finds its NaN.
    at = width.argmin(axis=1)
    row = np.arange(places.size)
    narrowest = np.full(places.size, np.nan) if note else width[row, at]
    known = np.isfinite(narrowest)
    dims = ("ear_height", "frequency")
    metres, within = {"units": "m"}, f"of the span within {tolerance:g} dB of the ears"
    return xr.Dataset(
        {
            "span_low": (dims, low, {**metres, "long_name": f"lower or left end {within}"}),
            "span_high": (dims, high, {**metres, "long_name": f"upper or right end {within}"}),
            "span_open": (dims, reached, {"long_name": "the span reaches an end of the line"}),
            "narrowest_span": (
                "ear_height",
                narrowest,
                {**metres, "long_name": f"narrowest extent {within}"},
            ),
            "narrowest_frequency": (
                "ear_height",
                np.where(known, frequency[at], np.nan),
                {"units": "Hz", "long_name": "frequency of the narrowest span"},
            ),
            "narrowest_open": (
                "ear_height",
                known & reached[row, at],
                {"long_name": "the narrowest span reaches an end of the line"},
            ),
        },
        coords={"frequency": view.frequency},
        attrs={"note": note},
    )
