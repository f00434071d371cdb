"""How far a predicted figure may be off: the solver's error carried into every answer."""

from __future__ import annotations

import math

import numpy as np
import xarray as xr

from acoustics.listening import directivity, lobing
from acoustics.listening.bands import in_band
from acoustics.listening.directivity import DROP
from acoustics.listening.height_window import TOLERANCE, height_window

FLOOR = 0.1
"""dB: levels of two designs that differ by less are never told apart, whatever the solver says.

Half of it is set against each of the two.
"""

EXACT = 1e-4
"""relative: what interpolation leaves of figures that no solver error reaches"""

NEPER = math.log(10) / 20
"""relative error of a pressure per dB"""


def level_uncertainty(prediction: xr.Dataset, band: tuple[float, float]) -> float:
    """Error of a level, dB: the solver's largest own estimate in the band, or half of `FLOOR`."""
    if "error_estimate" not in prediction.coords:
        return FLOOR / 2
    inside = in_band(prediction.frequency.values, band)
    return max(FLOOR / 2, float(np.max(prediction.error_estimate.values[inside], initial=0.0)))


def answer_uncertainty(prediction: xr.Dataset, answers: xr.Dataset) -> xr.Dataset:
    """The level's error carried into each of `listening.first_answers`.

    A width is taken again with its limit moved by the error; a ripple and a level may be off by
    the error itself; a tilt by what an error of opposite sign at the ends of the band does to a
    least-squares line (1.5·2u over the octaves of the band); the depth of a dip by the error of
    one of the two waves, seen against what is left at its bottom; its frequency by the phase that
    goes with such an error; a lobe's direction by how far the level stays within the error of
    its maximum.

    Args:
        prediction: as `predict` makes it.
        answers: `first_answers` of that prediction; `studies.sides.side_ripple` may be with them.

    Returns:
        Same names, dims and units as the numbers in `answers`.
    """
    low, high = answers.attrs["band"]
    u = level_uncertainty(prediction, (float(low), float(high)))
    tilt = 3 * u / math.log2(high / low)
    by_name = {
        **dict.fromkeys(("axis_ripple", "axis_level", "seat_ripple", "seat_level"), u),
        **dict.fromkeys(("side_difference", "side_ripple", "lobe_gain"), u),
        **dict.fromkeys(("axis_tilt", "seat_tilt"), tilt),
    }
    spreads = {
        name: xr.full_like(answers[name], value, dtype=float)
        for name, value in by_name.items()
        if name in answers
    }
    spreads["dip_depth"] = u * 10 ** (answers.dip_depth / 20)
    spreads["dip_frequency"] = answers.dip_frequency * (u * NEPER / math.pi)
    spreads["crossover_frequency"] = answers.crossover_frequency * EXACT
    spreads |= _beam(prediction, answers, u)
    spreads |= _window(prediction, u)
    spreads["lobe_direction"] = _lobe(prediction, answers, u)
    return xr.Dataset(spreads)


def _beam(prediction: xr.Dataset, answers: xr.Dataset, u: float) -> dict[str, xr.DataArray]:
    """Half of what the beamwidths change when their limit moves by ±u."""
    wide, narrow = (
        directivity(prediction, DROP + sign * u, answers.attrs["smoothing"]).beamwidth.fillna(360.0)
        for sign in (1, -1)
    )
    half = (wide - narrow) / 2
    inside = in_band(prediction.frequency.values, tuple(answers.attrs["band"]))
    least = (wide.isel(frequency=inside).min("frequency")) - (
        narrow.isel(frequency=inside).min("frequency")
    )
    octaves = half.sel(frequency=answers.octave.values, method="nearest")
    return {
        "least_beamwidth": least / 2,
        "beamwidth": answers.beamwidth.copy(
            data=octaves.transpose(*_renamed(answers.beamwidth.dims)).values
        ),
    }


def _renamed(dims: tuple[object, ...]) -> tuple[object, ...]:
    return tuple("frequency" if dim == "octave" else dim for dim in dims)


def _window(prediction: xr.Dataset, u: float) -> dict[str, xr.DataArray]:
    """Half of what the windows over height change when their limit moves by ±u."""
    wide, narrow = (height_window(prediction, TOLERANCE + sign * u) for sign in (1, -1))
    names = ("window_low", "window_high", "window_height")
    return {name: abs(wide[name] - narrow[name]) / 2 for name in names}


def _lobe(prediction: xr.Dataset, answers: xr.Dataset, u: float) -> xr.DataArray:
    """How far from the main lobe's direction the level stays within u of it, degrees."""
    around = lobing(prediction)
    angle = around.lobe_angle.values
    reach = []
    for direction, gain, level in zip(
        answers.lobe_direction.values,
        answers.lobe_gain.values,
        around.lobe_level.transpose("crossover", "lobe_angle").values,
        strict=True,
    ):
        outside = np.abs(angle - direction)[level < gain - u]
        reach.append(outside.min(initial=180.0))
    return answers.lobe_direction.copy(data=np.array(reach, dtype=float))
