"""How even a curve is: ripple about a straight line in log frequency, and that line's slope."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.case.model import BAND, SMOOTHING
from acoustics.listening.bands import FEWEST, in_band
from acoustics.listening.levels import decibels, smoothed_power
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
    frequency = np.asarray(frequency, dtype=float)
    if np.count_nonzero(in_band(frequency, band)) < FEWEST:
        nothing = level.isel(frequency=0, drop=True) * np.nan
        return _as_ripple(nothing), _as_tilt(nothing)
    smooth, line, slope = _fitted(level, frequency, band, smoothing)
    residual = smooth.values - line
    shape = smooth.isel(frequency=0, drop=True)
    return (
        _as_ripple(shape.copy(data=np.ptp(residual, axis=-1) / 2)),
        _as_tilt(shape.copy(data=slope)),
    )


def fitted_line(
    level: xr.DataArray,
    band: tuple[float, float] = BAND,
    smoothing: float | None = SMOOTHING,
) -> xr.DataArray:
    """The straight line of `ripple_and_tilt` at the frequencies of the band, dB."""
    smooth, line, _ = _fitted(level, level.frequency.values, band, smoothing)
    return stamped(smooth.copy(data=line), "dB", "straight line in log frequency", "line")


def _fitted(
    level: xr.DataArray,
    frequency: np.ndarray,
    band: tuple[float, float],
    smoothing: float | None,
) -> tuple[xr.DataArray, np.ndarray, np.ndarray]:
    """The smoothed level in the band, its least-squares line there, and the line's slope."""
    inside = in_band(frequency, band)
    power = smoothed_power(10 ** (level / 10), frequency, smoothing)
    smooth = decibels(power).transpose(..., "frequency").isel(frequency=inside)
    x = np.log2(frequency)
    weight = np.gradient(x)[inside]
    weight /= weight.sum()
    x = x[inside] - weight @ x[inside]
    y = smooth.values
    slope = y @ (weight * x) / (weight @ x**2)
    return smooth, (y @ weight)[..., None] + slope[..., None] * x, slope


def _as_ripple(array: xr.DataArray) -> xr.DataArray:
    return stamped(array, "dB", "ripple: half peak to peak about a straight line", "ripple")


def _as_tilt(array: xr.DataArray) -> xr.DataArray:
    return stamped(array, "dB/octave", "tilt: slope of the level in log frequency", "tilt")
