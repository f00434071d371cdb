"""Sound pressure levels, smoothed and averaged over bands."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import xarray as xr

from acoustics.conventions import REFERENCE_PRESSURE
from acoustics.listening.stamp import stamped

LEVEL_NAME = "sound pressure level re 20 µPa"


def level(pressure: xr.DataArray) -> xr.DataArray:
    """Level of an rms pressure (Pa): dB re 20 µPa (IEC 60027-3); −inf for silence."""
    return stamped(decibels(abs(pressure) ** 2 / REFERENCE_PRESSURE**2), "dB", LEVEL_NAME, "level")


def decibels(power: xr.DataArray) -> xr.DataArray:
    """10·log₁₀ of a power ratio; −inf for 0."""
    answer: xr.DataArray = xr.apply_ufunc(in_decibels, power)
    return answer


def in_decibels(power: np.ndarray) -> np.ndarray:
    """As `decibels`, of a bare array."""
    with np.errstate(divide="ignore"):
        answer: np.ndarray = 10 * np.log10(power)
    return answer


def smoothed_power(
    power: xr.DataArray, frequency: xr.DataArray | np.ndarray, fraction: float | None
) -> xr.DataArray:
    """Power averaged over 1/fraction octave in log frequency; None leaves it as it is.

    The window is centred on each frequency and ends where the frequencies do.
    """
    if fraction is None or power.sizes["frequency"] < 2:
        return power
    averaged = power.transpose(..., "frequency")
    smooth = smoothed(averaged.values, np.asarray(frequency, dtype=float), fraction)
    return averaged.copy(data=smooth).transpose(*power.dims)


def smoothed(power: np.ndarray, frequency: np.ndarray, fraction: float | None) -> np.ndarray:
    """As `smoothed_power`, of a bare array (…, frequency)."""
    if fraction is None or frequency.size < 2:
        return power
    return _few(power, _smoothing(tuple(frequency.tolist()), fraction))


@lru_cache(8)
def _smoothing(frequency: tuple[float, ...], fraction: float) -> np.ndarray:
    """Weights of `smoothed_power`, shape (frequency, frequency); a design is asked many figures."""
    x, half = np.log2(frequency), 0.5 / fraction
    weights = window_weights(x, np.maximum(x - half, x[0]), np.minimum(x + half, x[-1]))
    weights.flags.writeable = False
    return weights


def band_level(
    pressure: xr.DataArray, frequency: xr.DataArray | np.ndarray, band: tuple[float, float]
) -> xr.DataArray:
    """Level of the mean power over a band, every octave counting alike.

    Args:
        pressure: rms, Pa, with a `frequency` dimension.
        frequency: Hz, ascending, shape (frequency,).
        band: lowest and highest frequency, Hz, cut to the frequencies there are.

    Returns:
        dB re 20 µPa, without the `frequency` dimension; NaN where the band and the frequencies
        have no range in common.
    """
    weights = band_weights(np.asarray(frequency, dtype=float), band)
    mean = xr.dot(abs(pressure) ** 2, xr.DataArray(weights, dims="frequency"), dim="frequency")
    return stamped(
        decibels(mean / REFERENCE_PRESSURE**2), "dB", "mean level in the band re 20 µPa", "level"
    )


def band_weights(frequency: np.ndarray, band: tuple[float, float]) -> np.ndarray:
    """Weights of the mean in `band_level`, (frequency,); NaN where there is none."""
    x = np.log2(frequency)
    low, high = np.clip(np.log2(band), x[0], x[-1])
    return window_weights(x, low[None], high[None])[0] if high > low else np.full(x.size, np.nan)


def window_weights(x: np.ndarray, start: np.ndarray, stop: np.ndarray) -> np.ndarray:
    """Weights that average a function between limits, it being straight between its points.

    Args:
        x: where the function is known, ascending, shape (point,).
        start: lower limits, within `x`, shape (window,).
        stop: upper limits, above `start`, shape (window,).

    Returns:
        Shape (window, point); each row adds up to 1.
    """
    step = np.diff(x)

    def integral(to: np.ndarray) -> np.ndarray:
        """∫ of each point's hat function from x[0] up to `to`, shape (window, point)."""
        part = np.clip((to[:, None] - x[:-1]) / step, 0.0, 1.0)
        area = np.zeros((to.size, x.size))
        area[:, 1:] += step * part**2 / 2
        area[:, :-1] += step * (part - part**2 / 2)
        return area

    return (integral(stop) - integral(start)) / (stop - start)[:, None]


def _few(values: np.ndarray, weights: np.ndarray) -> np.ndarray:
    """Weighted sums over the last axis where each row of weights is 0 but for a short stretch.

    Args:
        values: shape (…, point).
        weights: shape (window, point).

    Returns:
        Shape (…, window).
    """
    counts = weights != 0
    first = counts.argmax(axis=1)
    long = int((counts.shape[1] - counts[:, ::-1].argmax(axis=1) - first).max())
    first = np.minimum(first, weights.shape[1] - long)
    rows = np.arange(weights.shape[0])
    answer = np.zeros((*values.shape[:-1], weights.shape[0]))
    for point in first + np.arange(long)[:, None]:
        answer += values[..., point] * weights[rows, point]
    return answer
