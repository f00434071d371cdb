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
from acoustics.listening.height_window import over_height
from acoustics.listening.levels import band_level, smoothed_power
from acoustics.listening.span import TOLERANCE, aside_spans, height_spans

FLOOR = 0.1
"""dB: levels of two designs that differ by less are never told apart, whatever the solver says.

Half of it is set against each of the two.
"""

REACH = 20.0
"""dB: the solver's estimate holds where the level is at most this far below the strongest."""

NEPER = math.log(10) / 20
"""relative error of a pressure per dB"""


def level_error(
    prediction: xr.Dataset, frequency: np.ndarray, below: np.ndarray | float = 1.0
) -> np.ndarray:
    """Error of a level at these frequencies, dB: the solver's own estimate, or half of `FLOOR`.

    Args:
        prediction: as `predict` makes it.
        frequency: Hz, any shape; NaN gives NaN.
        below: what the estimate is multiplied by, see `beyond_reach`.

    Returns:
        dB, of the same shape; straight in log frequency between the predicted ones.
    """
    frequency = np.asarray(frequency, dtype=float)
    estimate = np.zeros(prediction.frequency.size)
    if "error_estimate" in prediction.coords:
        estimate = prediction.error_estimate.values
    at = np.interp(np.log(frequency), np.log(prediction.frequency.values), estimate)
    answer: np.ndarray = np.maximum(at * below, FLOOR / 2)
    return answer


def level_uncertainty(prediction: xr.Dataset, band: tuple[float, float]) -> float:
    """Error of a level over a band, dB: the largest of `level_error` in it."""
    frequency = prediction.frequency.values
    inside = frequency[in_band(frequency, band)]
    return float(np.max(level_error(prediction, inside), initial=FLOOR / 2))


def curve_uncertainty(
    prediction: xr.Dataset,
    curve: xr.DataArray,
    band: tuple[float, float],
    smoothing: float | None,
) -> np.ndarray:
    """Error of the smoothed level of a curve over a band, nulls included, dB.

    Args:
        prediction: as `predict` makes it.
        curve: pressure as it would be at the reference distance, dims (…, frequency).
        band: lowest and highest frequency, Hz.
        smoothing: of the curve, as in `levels.smoothed_power`.

    Returns:
        Shape (…): the largest of `level_error` in the band, with what `beyond_reach` adds.
    """
    frequency = prediction.frequency.values
    own, most = (
        smoothed_power(power, frequency, smoothing).transpose(..., "frequency").values
        for power in (abs(curve) ** 2, strongest_power(prediction))
    )
    inside = in_band(frequency, band)
    error = level_error(prediction, frequency, beyond_reach(own, most))
    return np.max(error[..., inside], axis=-1, initial=FLOOR / 2)


def band_uncertainty(
    prediction: xr.Dataset, curve: xr.DataArray, band: tuple[float, float]
) -> np.ndarray:
    """Error of a curve's mean level over a band, dB; as `curve_uncertainty`.

    The means over the band are compared: what a narrow null does to its own is next to nothing.
    """
    frequency = prediction.frequency.values
    inside = frequency[in_band(frequency, band)]
    own, most = (
        10 ** (band_level(pressure, frequency, band).values / 10)
        for pressure in (curve, strongest_power(prediction) ** 0.5)
    )
    error = level_error(prediction, inside, beyond_reach(own, most)[..., None])
    return np.max(error, axis=-1, initial=FLOOR / 2)


def strongest_power(prediction: xr.Dataset) -> xr.DataArray:
    """Squared pressure in the strongest direction of both arcs, Pa², dims (frequency)."""
    return (abs(prediction.arc_total) ** 2).max(("plane", "angle"))


def beyond_reach(power: np.ndarray, strongest: np.ndarray) -> np.ndarray:
    """By what the solver's estimate grows where the sound is faint beside the strongest direction.

    It holds down to `REACH` dB below that. In a deeper null the error of the pressure stays as it
    is there, so that of the level grows as the pressure falls.
    """
    least = strongest * 10 ** (-REACH / 10)
    with np.errstate(divide="ignore", invalid="ignore"):
        answer: np.ndarray = np.sqrt(np.where(power < least, least / power, 1.0))
    return answer


def tilt_error(u: float, band: tuple[float, float]) -> float:
    """Error of a tilt, dB per octave: 1.5·2u over the octaves of the band.

    What an error of opposite sign at its ends does to a least-squares line.
    """
    return 3 * u / math.log2(band[1] / band[0])


def dip_error(u: np.ndarray, depth: np.ndarray) -> np.ndarray:
    """How much shallower a dip that a reflection makes may be, dB.

    Where the dip is, the reflection adds a wave w to 1 in opposition: |1 + w| = δ = 10^(−depth/20),
    |w| = 1 − δ. w is off by 2u in all, so δ by e = 2u·|w| (u in nepers), and the depth lies between
    −20 lg(δ + e) and −20 lg(δ − e); it is off by u at least. This side stays small however deep the
    dip, the other does not, see `dip_error_deeper`.

    Args:
        u: error of a level where the dip is, dB.
        depth: dB; 0 for no dip.
    """
    left = 10 ** (-depth / 20)
    answer: np.ndarray = np.maximum(20 * np.log10(1 + _left_error(u, left) / left), u)
    return answer


def dip_error_deeper(u: np.ndarray, depth: np.ndarray) -> np.ndarray:
    """How much deeper a dip that a reflection makes may be, dB; infinite where e ≥ δ.

    Args as of `dip_error`.
    """
    left = 10 ** (-depth / 20)
    ratio = np.minimum(_left_error(u, left) / left, 1.0)
    with np.errstate(divide="ignore"):
        answer: np.ndarray = np.maximum(-20 * np.log10(1 - ratio), u)
    return answer


def _left_error(u: np.ndarray, left: np.ndarray) -> np.ndarray:
    """Error e of what a reflection leaves of the direct sound."""
    return 2 * u * NEPER * np.maximum(1 - left, 0.0)


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
    lines = over_height(view)
    error = level_error(view, lines.crossovers.crossover_frequency.values)
    wide, narrow = (lines.windows(TOLERANCE + sign * 2 * error)[:2] for sign in (1, -1))
    low, high = (np.abs(w - n) / 2 for w, n in zip(wide, narrow, strict=True))
    height = np.abs((wide[1] - wide[0]) - (narrow[1] - narrow[0])) / 2
    halves = {"window_low": low, "window_high": high, "window_height": height}
    return xr.Dataset(
        {
            name: (
                ("crossover", "ear_height"),
                half,
                {"units": "m", "long_name": "error of a window over height"},
            )
            for name, half in halves.items()
        },
        coords={"crossover": lines.crossovers.crossover, "ear_height": view.ear_height},
    )


def span_error(view: xr.Dataset, u: float) -> xr.Dataset:
    """Half of what the narrowest spans change when their limit moves by ±2u, m.

    Args:
        view: a prediction as one listener hears it.
        u: error of a level, dB.

    Returns:
        height_span (ear_height), aside_span ().
    """
    limits = TOLERANCE + 2 * u, TOLERANCE - 2 * u
    halves = {}
    for name, spans in (("height_span", height_spans), ("aside_span", aside_spans)):
        wide, narrow = (each.narrowest_span for each in spans(view, limits))
        halves[name] = abs(wide - narrow).drop_vars("frequency", errors="ignore") / 2
    return xr.Dataset(halves)
