"""How far a predicted figure may be off: the solver's error carried into every answer."""

from __future__ import annotations

import math

import numpy as np
import xarray as xr

from acoustics.listening import directivity, lobing
from acoustics.listening.bands import in_band
from acoustics.listening.directivity import DROP
from acoustics.listening.height_window import TOLERANCE, height_window
from acoustics.studies.wording import ALL_ROUND

FLOOR = 0.1
"""dB: levels of two designs that differ by less are never told apart, whatever the solver says.

Half of it is set against each of the two.
"""

EXACT = 1e-4
"""relative: what interpolation leaves of figures that no solver error reaches"""

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


def answer_uncertainty(prediction: xr.Dataset, answers: xr.Dataset) -> xr.Dataset:
    """The level's error u carried into each of `listening.first_answers`.

    u is taken over the band for figures of the band, and at the figure's own frequency for all
    others. A ripple and a mean level may be off by u; a tilt by what an error of opposite sign at
    the ends of the band does to a least-squares line, 1.5·2u over the octaves of the band. What
    compares two levels may be off by 2u: side difference and lobe gain themselves; beams and
    windows by half of what they change when their limit moves by ±2u; a lobe's direction by how
    far the level stays within 2u of its maximum. The floor adds a wave w to 1, off by 2u in all:
    its dip's depth by 2u·|w/(1+w)| with |1+w| = 10^(−depth/20), its frequency by the phase that
    goes with such an error.

    Args:
        prediction: as `predict` makes it.
        answers: `first_answers` of that prediction; `studies.sides.side_ripple` may be with them.

    Returns:
        Same names, dims and units as the numbers in `answers`.
    """
    low, high = (float(end) for end in answers.attrs["band"])
    u = level_uncertainty(prediction, (low, high))
    tilt = 3 * u / math.log2(high / low)
    by_name = {
        **dict.fromkeys(("axis_ripple", "axis_level", "seat_ripple", "seat_level"), u),
        **dict.fromkeys(("axis_tilt", "seat_tilt"), tilt),
        "side_ripple": u,
        "side_difference": 2 * u,
    }
    spreads = {
        name: xr.full_like(answers[name], value, dtype=float)
        for name, value in by_name.items()
        if name in answers
    }
    for dip in ("dip", "deepest_dip"):
        spreads |= _dip(prediction, answers, dip)
    spreads |= _beam(prediction, answers)
    spreads["crossover_frequency"] = answers.crossover_frequency * EXACT
    at_crossover = answers.crossover_frequency.copy(
        data=level_error(prediction, answers.crossover_frequency.values)
    )
    spreads["lobe_gain"] = 2 * at_crossover
    spreads["lobe_direction"] = _lobe(prediction, answers, at_crossover.values)
    spreads |= _window(prediction, answers, at_crossover.values)
    return xr.Dataset(spreads)


def _dip(prediction: xr.Dataset, answers: xr.Dataset, dip: str) -> dict[str, xr.DataArray]:
    frequency, depth = answers[f"{dip}_frequency"], answers[f"{dip}_depth"]
    u = frequency.copy(data=level_error(prediction, frequency.values))
    # Without a dip there is no frequency, and a depth of 0 is as sure as a level.
    spread = xr.where(frequency.notnull(), 2 * u * (10 ** (depth / 20) - 1), 0.0)
    return {
        f"{dip}_depth": spread.clip(min=u.fillna(FLOOR / 2)).where(depth.notnull()),
        f"{dip}_frequency": frequency * (2 * u * NEPER / math.pi),
    }


def _beam(prediction: xr.Dataset, answers: xr.Dataset) -> dict[str, xr.DataArray]:
    """Half of what the beams change when the axis is off by ∓u and all other angles by ±u."""
    u = xr.DataArray(level_error(prediction, prediction.frequency.values), dims="frequency")
    sign = xr.where(prediction.angle == 0, -1.0, 1.0)
    wide, narrow = (
        directivity(
            prediction.assign(arc_total=prediction.arc_total * 10 ** (side * sign * u / 20)),
            DROP,
            answers.attrs["smoothing"],
        ).beamwidth
        for side in (1, -1)
    )
    inside = in_band(prediction.frequency.values, tuple(answers.attrs["band"]))
    if inside.any():
        widest, narrowest = (
            width.isel(frequency=inside).min("frequency", skipna=False) for width in (wide, narrow)
        )
    else:
        widest = narrowest = answers.least_beamwidth
    # An axis near a null has a beam on one side of the error only: nothing is sure of it then.
    half = (wide - narrow).fillna(ALL_ROUND) / 2
    octaves = half.sel(frequency=answers.octave.values, method="nearest")
    octaves = octaves.rename(frequency="octave").transpose(*answers.beamwidth.dims)
    return {
        "least_beamwidth": (widest - narrowest).fillna(ALL_ROUND) / 2,
        "beamwidth": answers.beamwidth.copy(data=octaves.values),
    }


def _window(prediction: xr.Dataset, answers: xr.Dataset, u: np.ndarray) -> dict[str, xr.DataArray]:
    """Half of what each crossover's windows over height change when their limit moves by ±2u."""
    names = ("window_low", "window_high", "window_height")
    halves = {name: np.zeros(answers[name].shape) for name in names}
    for i, error in enumerate(u):
        wide, narrow = (
            height_window(prediction, TOLERANCE + sign * 2 * error).isel(crossover=i)
            for sign in (1, -1)
        )
        for name in names:
            halves[name][i] = np.abs(wide[name].values - narrow[name].values) / 2
    return {name: answers[name].copy(data=half) for name, half in halves.items()}


def _lobe(prediction: xr.Dataset, answers: xr.Dataset, u: np.ndarray) -> xr.DataArray:
    """How far from the main lobe's direction the level stays within 2u of it, degrees."""
    around = lobing(prediction)
    angle = around.lobe_angle.values
    reach = []
    for direction, gain, error, level in zip(
        answers.lobe_direction.values,
        answers.lobe_gain.values,
        u,
        around.lobe_level.transpose("crossover", "lobe_angle").values,
        strict=True,
    ):
        outside = np.abs(angle - direction)[level < gain - 2 * error]
        reach.append(outside.min(initial=180.0))
    return answers.lobe_direction.copy(data=np.array(reach, dtype=float))
