"""How far off the field solver's error may put a figure.

u is the error of a level: the solver's own estimate, or half of `FLOOR`. A ripple and a mean level
may be off by u; what compares two levels by 2u.
"""

from __future__ import annotations

import math

import numpy as np
import xarray as xr

from acoustics.listening.bands import in_band
from acoustics.listening.directivity import DROP, FULL_CIRCLE, directivity
from acoustics.listening.height_window import height_window
from acoustics.listening.span import TOLERANCE

FLOOR = 0.1
"""dB: levels of two designs that differ by less are never told apart, whatever the solver says.

Half of it is set against each of the two.
"""

NEPER = math.log(10) / 20
"""relative error of a pressure per dB"""


def level_error(prediction: xr.Dataset, frequency: np.ndarray) -> np.ndarray:
    """Error of a level at these frequencies, dB: the solver's own estimate, or half of `FLOOR`.

    Args:
        prediction: as `predict` makes it.
        frequency: Hz, any shape; NaN gives NaN.

    Returns:
        dB, of the same shape; straight in log frequency between the predicted ones.
    """
    frequency = np.asarray(frequency, dtype=float)
    estimate = np.zeros(prediction.frequency.size)
    if "error_estimate" in prediction.coords:
        estimate = prediction.error_estimate.values
    at = np.interp(np.log(frequency), np.log(prediction.frequency.values), estimate)
    return np.maximum(at, FLOOR / 2)


def level_uncertainty(prediction: xr.Dataset, band: tuple[float, float]) -> float:
    """Error of a level over a band, dB: the largest of `level_error` in it."""
    frequency = prediction.frequency.values
    inside = frequency[in_band(frequency, band)]
    return float(np.max(level_error(prediction, inside), initial=FLOOR / 2))


def tilt_error(u: float, band: tuple[float, float]) -> float:
    """Error of a tilt, dB per octave: 1.5·2u over the octaves of the band.

    What an error of opposite sign at its ends does to a least-squares line.
    """
    return 3 * u / math.log2(band[1] / band[0])


def dip_error(u: np.ndarray, depth: np.ndarray) -> np.ndarray:
    """Error of the depth of a dip that a reflection makes, dB.

    The reflection adds a wave w to 1, off by 2u in all: the depth by 2u·|w/(1+w)| with
    |1+w| = 10^(−depth/20); at least u.

    Args:
        u: error of a level where the dip is, dB.
        depth: dB; 0 for no dip.
    """
    return np.maximum(2 * u * (10 ** (depth / 20) - 1), u)


def beam_change(
    prediction: xr.Dataset, smoothing: float | None
) -> tuple[xr.DataArray, xr.DataArray]:
    """Widest and narrowest beam when the axis is off by ∓u and all other angles by ±u.

    Returns:
        Two beamwidths as `directivity` gives them, degrees, dims (plane, frequency).
    """
    u = xr.DataArray(level_error(prediction, prediction.frequency.values), dims="frequency")
    sign = xr.where(prediction.angle == 0, -1.0, 1.0)
    wide, narrow = (
        directivity(
            prediction.assign(arc_total=prediction.arc_total * 10 ** (side * sign * u / 20)),
            DROP,
            smoothing,
        ).beamwidth
        for side in (1, -1)
    )
    return wide, narrow


def least_beam_error(
    prediction: xr.Dataset, band: tuple[float, float], smoothing: float | None
) -> xr.DataArray:
    """Error of the smallest beamwidth over a band, degrees, dims (plane).

    The full circle where the axis is so near a null that one side of the error leaves no beam.
    """
    wide, narrow = beam_change(prediction, smoothing)
    inside = in_band(prediction.frequency.values, band)
    if not inside.any():
        return wide.isel(frequency=0, drop=True) * np.nan
    widest, narrowest = (
        width.isel(frequency=inside).min("frequency", skipna=False) for width in (wide, narrow)
    )
    return (widest - narrowest).fillna(FULL_CIRCLE) / 2


def window_error(view: xr.Dataset) -> xr.Dataset:
    """Half of what the windows over height change when their limit moves by ±2u, m.

    Args:
        view: a prediction as one listener hears it.

    Returns:
        window_low, window_high, window_height, dims (crossover, ear_height).
    """
    names = ["window_low", "window_high", "window_height"]
    found = height_window(view)
    halves = {name: np.zeros(found[name].shape) for name in names}
    for i, error in enumerate(level_error(view, found.crossover_frequency.values)):
        wide, narrow = (
            height_window(view, TOLERANCE + sign * 2 * error).isel(crossover=i) for sign in (1, -1)
        )
        for name in names:
            halves[name][i] = np.abs(wide[name].values - narrow[name].values) / 2
    return found[names].assign({name: found[name].copy(data=half) for name, half in halves.items()})
