"""How far the ears may move up and down, or sideways, before the level changes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np
import xarray as xr

from acoustics.case.design.model import BAND, SMOOTHING
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
        narrowest_frequency (Hz), where that is, and narrowest_open, true where even that is open;
        a span that ends counts before an open one that is narrower by no more than 1 cm.
        Where the predicted frequencies do not allow these they are NaN, and the attribute `note`
        says why; else it is empty.
    """
    return height_spans(view, (tolerance,), smoothing)[0]


def height_spans(
    view: xr.Dataset, tolerances: Sequence[float], smoothing: float | None = SMOOTHING
) -> tuple[xr.Dataset, ...]:
    """`height_span` for several tolerances (dB) at little more cost than for one."""
    found = _spans(view, "height", view.ear_height.values, smoothing, tolerances)
    return tuple(each.assign_coords(ear_height=view.ear_height) for each in found)


def aside_span(
    view: xr.Dataset, smoothing: float | None = SMOOTHING, tolerance: float = TOLERANCE
) -> xr.Dataset:
    """Distances to the left and right of the seat over which the level stays near that at it.

    As `height_span`, along the line sideways through the ears, as far as somebody can sit there:
    where the line meets a cabinet or a wall, it ends.

    Returns:
        span_low, span_high, span_open (frequency) and narrowest_span, narrowest_frequency,
        narrowest_open as in `height_span`, in m to the right of the seat and without ear_height.
    """
    return aside_spans(view, (tolerance,), smoothing)[0]


def aside_spans(
    view: xr.Dataset, tolerances: Sequence[float], smoothing: float | None = SMOOTHING
) -> tuple[xr.Dataset, ...]:
    """`aside_span` for several tolerances (dB) at little more cost than for one."""
    found = _spans(view, "aside", np.zeros(1), smoothing, tolerances)
    return tuple(each.isel(ear_height=0) for each in found)


def ends_about(
    x: np.ndarray,
    level: np.ndarray,
    place: float,
    at_place: np.ndarray,
    tolerance: float | np.ndarray,
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Ends of the contiguous range about a place in which a level stays within a tolerance.

    Args:
        x: ascending, m, shape (point,).
        level: dB, shape (…, point); straight between the points.
        place: m, within `x`.
        at_place: the level there, dB, shape (…).
        tolerance: dB, a number or shape (…).

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
    place: float, x: np.ndarray, away: np.ndarray, tolerance: float | np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Where a difference, 0 at the place, first passes the tolerance on the way outward.

    Returns:
        The end, or the last point where the tolerance is never passed, and whether that is so.
    """
    x = np.concatenate(([place], x))
    away = np.concatenate((np.zeros((*away.shape[:-1], 1)), away), axis=-1)
    outside = np.abs(away) > np.asarray(tolerance)[..., None]
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
    tolerances: Sequence[float],
) -> tuple[xr.Dataset, ...]:
    """Spans about some places of a line for each tolerance, dims (ear_height, frequency)."""
    fine, along, at_places = _levels_along(view, line, places, smoothing)
    answers = []
    for tolerance in tolerances:
        found = [
            ends_about(fine, along, place, at, tolerance)
            for place, at in zip(places, at_places.T, strict=True)
        ]
        low, high, reached = (np.array(each) for each in zip(*found, strict=True))
        answers.append(_as_dataset(view, low, high, reached, smoothing, tolerance))
    return tuple(answers)


def _levels_along(
    view: xr.Dataset,
    line: Literal["height", "aside"],
    places: np.ndarray,
    smoothing: float | None,
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Close points of a line (m), and the level (dB, any reference) at them and at the places.

    Returns:
        Shapes (point,), (frequency, point) and (frequency, place).
    """
    # Without the delay over the distance, what is left changes slowly along the line.
    turn = 2 * np.pi / view.attrs["speed_of_sound"] * view.frequency.values[:, None]
    still = view[f"{line}_total"].transpose("frequency", line).values * np.exp(
        1j * turn * distances(view, line).values
    )
    x = view[line].values
    there = _stretch(np.isfinite(still).all(axis=0), int(np.abs(x - places[0]).argmin()))
    x, still = x[there], still[:, there]
    fine = np.linspace(x[0], x[-1], max(round((x[-1] - x[0]) / STEP), x.size - 1) + 1)
    pressure = cubic(x, still, np.concatenate((fine, places)))
    power = xr.DataArray(np.abs(pressure) ** 2, dims=("frequency", "place"))
    with np.errstate(divide="ignore"):
        levels = 10 * np.log10(smoothed_power(power, view.frequency, smoothing).values)
    return fine, levels[:, : fine.size], levels[:, fine.size :]


def _stretch(known: np.ndarray, about: int) -> slice:
    """The contiguous points about one (that one at least) at which something is known."""
    unknown = np.flatnonzero(~known)
    start = unknown[unknown < about].max(initial=-1) + 1
    stop = unknown[unknown > about].min(initial=known.size)
    return slice(int(start), int(stop)) if known[about] else slice(about, about + 1)


def _as_dataset(
    view: xr.Dataset,
    low: np.ndarray,
    high: np.ndarray,
    reached: np.ndarray,
    smoothing: float | None,
    tolerance: float,
) -> xr.Dataset:
    """Spans (ear_height, frequency), and the narrowest of them in the band."""
    frequency = view.frequency.values
    note = why_not_covered(frequency, BAND, smoothing)
    width = np.where(in_band(frequency, BAND), high - low, np.inf)
    # A place without a level has no span: argmin then finds its NaN.
    at = width.argmin(axis=1)
    row = np.arange(width.shape[0])
    # The true narrowest lies between an open span and one that ends.
    ending = np.where(reached, np.inf, width)
    least = ending.argmin(axis=1)
    at = np.where(ending[row, least] <= width[row, at] + STEP, least, at)
    narrowest = np.full(row.size, np.nan) if note else width[row, at]
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
