"""Ripple in two parts: what a filter can correct, and what it cannot."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.case.design.model import BAND, SMOOTHING
from acoustics.listening.bands import why_not_covered
from acoustics.listening.levels import in_decibels, smoothed
from acoustics.listening.ripple import ripples
from acoustics.listening.stamp import stamped
from acoustics.listening.standard_curves import window_responses

ALIKE = 1e-6
"""dB: of directions as bad as each other but for rounding, the first is named."""


def both_ripples(
    power: xr.DataArray,
    frequency: np.ndarray,
    band: tuple[float, float] = BAND,
    smoothing: float | None = SMOOTHING,
) -> tuple[xr.DataArray, xr.DataArray, xr.DataArray]:
    """The two parts of the ripple in some directions; see `window_ripple`.

    Args:
        power: squared pressure, dims (…, direction, frequency), the reference axis first.
        frequency: Hz, ascending, shape (frequency,).
        band: lowest and highest frequency, Hz.
        smoothing: denominator of a fraction of an octave, or None.

    Returns:
        Ripple common to all directions, dB; level relative to the axis, dB, and its ripple, dB,
        in all directions but the first.
    """
    at = power.transpose(..., "direction", "frequency")
    others = at.isel(direction=slice(1, None))
    one = at.isel(direction=0, frequency=0, drop=True)
    common, relative, each = ripples_between(at.values, frequency, band, smoothing)
    return (
        one.copy(data=common),
        others.copy(data=relative),
        others.isel(frequency=0, drop=True).copy(data=each),
    )


def ripples_between(
    power: np.ndarray,
    frequency: np.ndarray,
    band: tuple[float, float] = BAND,
    smoothing: float | None = SMOOTHING,
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """As `both_ripples`, of bare arrays (…, direction, frequency)."""
    common, _ = ripples(in_decibels(power.mean(axis=-2)), frequency, band, smoothing)
    smooth = smoothed(power, frequency, smoothing)
    relative = in_decibels(smooth[..., 1:, :] / smooth[..., :1, :])
    return common, relative, ripples(relative, frequency, band, None)[0]


def window_ripple(
    prediction: xr.Dataset,
    band: tuple[float, float] = BAND,
    smoothing: float | None = SMOOTHING,
) -> xr.Dataset:
    """Ripple common to the listening window's directions, and ripple off axis relative to on axis.

    A filter that is the same for all drivers changes the level in every direction alike: it can
    flatten the listening-window curve, but levels relative to the axis stay as they are. Each
    part is half the peak-to-peak about its own straight line in log frequency, see
    `ripple_and_tilt`; powers are smoothed before their ratio is taken.

    Args:
        prediction: as `predict` makes it.
        band: lowest and highest frequency, Hz.
        smoothing: denominator of the fraction of an octave over which power is averaged; None
            for no smoothing.

    Returns:
        common_ripple (dB); relative_level (direction, frequency) and relative_ripple (direction),
        dB, for the 8 directions off the axis; worst_ripple (dB) and worst_direction, the largest
        of them, "" where not known. Where the predicted frequencies do not allow the figures they
        are NaN, and the attribute `note` says why; else it is empty.

    Raises:
        RoundoverError: the arcs lack some of the directions.
    """
    frequency = prediction.frequency.values
    note = why_not_covered(frequency, band, smoothing)
    power = abs(window_responses(prediction)) ** 2
    common, relative, each = both_ripples(power, frequency, band, smoothing)
    if note:
        common, each = common.where(False), each.where(False)
    known = bool(np.isfinite(each).all())
    worst = int((each.values >= each.values.max() - ALIKE).argmax()) if known else 0
    return xr.Dataset(
        {
            "common_ripple": stamped(common, "dB", "ripple of the listening window"),
            "relative_level": stamped(relative, "dB", "level relative to the reference axis"),
            "relative_ripple": stamped(each, "dB", "ripple relative to the reference axis"),
            "worst_ripple": stamped(
                each.isel(direction=worst, drop=True).reset_coords(drop=True)
                if known
                else xr.DataArray(np.nan),
                "dB",
                "largest ripple relative to the reference axis in the listening window",
            ),
            "worst_direction": stamped(
                xr.DataArray(str(each.direction.values[worst]) if known else ""),
                "",
                "direction of that ripple",
            ),
        }
    ).assign_attrs(note=note)
