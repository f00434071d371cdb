"""How even a curve is: ripple about a straight line in log frequency, and that line's slope."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.case.design.model import BAND, SMOOTHING
from acoustics.listening.bands import FEWEST, in_band
from acoustics.listening.levels import in_decibels, smoothed
from acoustics.listening.stamp import stamped

__all__ = ["BAND", "SMOOTHING", "ripple_and_tilt"]


def ripple_and_tilt(
    level: xr.DataArray,
    frequency: xr.DataArray | np.ndarray,
    band: tuple[float, float] = BAND,
    smoothing: float | None = SMOOTHING,
) -> tuple[xr.DataArray, xr.DataArray]:
    """Half the peak-to-peak of a smoothed level about its straight line, and the line's slope.

    The line is fitted by least squares in log₂ frequency, every octave counting alike.

    Args:
        level: dB, with a `frequency` dimension.
        frequency: Hz, ascending, shape (frequency,).
        band: lowest and highest frequency, Hz; what lies outside is only seen by the smoothing.
        smoothing: denominator of the fraction of an octave over which power is averaged; None
            for no smoothing.

    Returns:
        Ripple (dB) and tilt (dB per octave), dims of `level` without `frequency`; NaN where the
        band holds fewer than three frequencies.
    """
    at = level.transpose(..., "frequency")
    shape = at.isel(frequency=0, drop=True)
    found = ripples(at.values, np.asarray(frequency, dtype=float), band, smoothing)
    return _as_ripple(shape.copy(data=found[0])), _as_tilt(shape.copy(data=found[1]))


def ripples(
    level: np.ndarray,
    frequency: np.ndarray,
    band: tuple[float, float] = BAND,
    smoothing: float | None = SMOOTHING,
) -> tuple[np.ndarray, np.ndarray]:
    """As `ripple_and_tilt`, of bare arrays, the frequencies last."""
    if np.count_nonzero(in_band(frequency, band)) < FEWEST:
        nothing = np.full(level.shape[:-1], np.nan)
        return nothing, nothing
    smooth, line, slope = _fitted(level, frequency, band, smoothing)
    return np.ptp(smooth - line, axis=-1) / 2, slope


def fitted_line(
    level: xr.DataArray,
    band: tuple[float, float] = BAND,
    smoothing: float | None = SMOOTHING,
) -> xr.DataArray:
    """The straight line of `ripple_and_tilt` at the frequencies of the band, dB."""
    at = level.transpose(..., "frequency")
    frequency = at.frequency.values
    _, line, _ = _fitted(at.values, frequency, band, smoothing)
    inside = at.isel(frequency=in_band(frequency, band))
    return stamped(inside.copy(data=line), "dB", "straight line in log frequency", "line")


def _fitted(
    level: np.ndarray,
    frequency: np.ndarray,
    band: tuple[float, float],
    smoothing: float | None,
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The smoothed level in the band, its least-squares line there, and the line's slope."""
    inside = in_band(frequency, band)
    smooth = in_decibels(smoothed(10 ** (level / 10), frequency, smoothing))[..., inside]
    x = np.log2(frequency)
    weight = np.gradient(x)[inside]
    weight /= weight.sum()
    x = x[inside] - weight @ x[inside]
    slope = smooth @ (weight * x) / (weight @ x**2)
    return smooth, (smooth @ weight)[..., None] + slope[..., None] * x, slope


def _as_ripple(array: xr.DataArray) -> xr.DataArray:
    return stamped(array, "dB", "ripple: half peak to peak about a straight line", "ripple")


def _as_tilt(array: xr.DataArray) -> xr.DataArray:
    return stamped(array, "dB/octave", "tilt: slope of the level in log frequency", "tilt")
