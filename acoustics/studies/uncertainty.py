"""How far a predicted figure may be off: the solver's error carried into every answer."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.listening.baffle_step import MOST_KA, baffle_step
from acoustics.listening.directivity import FULL_CIRCLE
from acoustics.listening.error import (
    FLOOR,
    NEPER,
    beam_change,
    dip_error,
    least_beam_error,
    level_error,
    level_uncertainty,
    tilt_error,
    window_error,
)
from acoustics.listening.listeners import by_listener
from acoustics.listening.lobes import lobes
from acoustics.listening.span import TOLERANCE, aside_span, height_span

EXACT = 1e-4
"""relative: what interpolation leaves of figures that no solver error reaches"""

LEVELS = (
    "axis_ripple",
    "axis_level",
    "window_ripple",
    "room_ripple",
    "seat_ripple",
    "seat_level",
    "side_ripple",
)
TILTS = ("axis_tilt", "window_tilt", "room_tilt", "seat_tilt")
TWO_LEVELS = ("side_difference", "relative_ripple", "power_index")
"""answers off by u, by what u does to a tilt, and by 2u"""


def answer_uncertainty(prediction: xr.Dataset, answers: xr.Dataset) -> xr.Dataset:
    """The level's error u carried into each of `listening.first_answers`.

    u is taken over the band for figures of the band, and at the figure's own frequency for all
    others. A ripple and a mean level may be off by u; a tilt by what an error of opposite sign at
    the ends of the band does to a least-squares line, 1.5·2u over the octaves of the band. What
    compares two levels may be off by 2u: side difference, ripple relative to the axis, directivity
    index, the rise of the baffle step and lobe gain themselves; beams, windows and spans by half
    of what they change when their limit moves by ±2u; the half-step frequency by half of what it
    changes when the level it counts from does; a lobe's direction by how far the level stays
    within 2u of its maximum. A surface adds a wave w to 1, off by 2u in all: its dip's depth by
    2u·|w/(1+w)| with |1+w| = 10^(−depth/20), its frequency by the phase that goes with such an
    error.

    Args:
        prediction: as `predict` makes it.
        answers: `first_answers` of that prediction; `studies.sides.side_ripple` may be with them.

    Returns:
        Same names, dims and units as the numbers in `answers`, but for the frequencies of the
        narrowest spans: those say where, and may jump.
    """
    low, high = (float(end) for end in answers.attrs["band"])
    u = level_uncertainty(prediction, (low, high))
    by_name = {
        **dict.fromkeys(LEVELS, u),
        **dict.fromkeys(TILTS, tilt_error(u, (low, high))),
        **dict.fromkeys(TWO_LEVELS, 2 * u),
    }
    spreads = {
        name: xr.full_like(answers[name], value, dtype=float)
        for name, value in by_name.items()
        if name in answers
    }
    if "surface" in answers.dims:
        for dip in ("dip", "deepest_dip"):
            spreads |= _dip(prediction, answers, dip)
    spreads |= _beam(prediction, answers)
    spreads |= _step(prediction, answers)
    spreads["crossover_frequency"] = answers.crossover_frequency * EXACT
    at_crossover = answers.crossover_frequency.copy(
        data=level_error(prediction, answers.crossover_frequency.values)
    )
    spreads["lobe_gain"] = 2 * at_crossover
    spreads["lobe_direction"] = _lobe(prediction, answers, at_crossover.values)
    windows = by_listener(prediction, window_error)
    spreads |= {
        name: answers[name].copy(data=windows[name].transpose(*answers[name].dims).values)
        for name in ("window_low", "window_high", "window_height")
    }
    spans = by_listener(prediction, lambda view: _spans(view, u))
    spreads |= {
        name: answers[name].copy(data=spans[name].transpose(*answers[name].dims).values)
        for name in ("height_span", "aside_span")
    }
    return xr.Dataset(spreads)


def _dip(prediction: xr.Dataset, answers: xr.Dataset, dip: str) -> dict[str, xr.DataArray]:
    frequency, depth = answers[f"{dip}_frequency"], answers[f"{dip}_depth"]
    # Without a dip there is no frequency, and a depth of 0 is as sure as a level.
    u = np.nan_to_num(level_error(prediction, frequency.values), nan=FLOOR / 2)
    return {
        f"{dip}_depth": depth.copy(data=dip_error(u, depth.values)),
        f"{dip}_frequency": frequency * (2 * u * NEPER / np.pi),
    }


def _beam(prediction: xr.Dataset, answers: xr.Dataset) -> dict[str, xr.DataArray]:
    """Half of what the beams change when the axis is off by ∓u and all other angles by ±u."""
    smoothing, band = answers.attrs["smoothing"], tuple(answers.attrs["band"])
    wide, narrow = beam_change(prediction, smoothing)
    # An axis near a null has a beam on one side of the error only: nothing is sure of it then.
    half = (wide - narrow).fillna(FULL_CIRCLE) / 2
    octaves = half.sel(frequency=answers.octave.values, method="nearest")
    octaves = octaves.rename(frequency="octave").transpose(*answers.beamwidth.dims)
    return {
        "least_beamwidth": least_beam_error(prediction, band, smoothing),
        "beamwidth": answers.beamwidth.copy(data=octaves.values),
    }


def _lobe(prediction: xr.Dataset, answers: xr.Dataset, u: np.ndarray) -> xr.DataArray:
    """How far from the main lobe's direction the level stays within 2u of it, degrees."""
    around = lobes(prediction)
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


def _spans(view: xr.Dataset, u: float) -> xr.Dataset:
    """Half of what the narrowest spans change when their limit moves by ±2u, m."""
    halves = {}
    for name, span in (("height_span", height_span), ("aside_span", aside_span)):
        wide, narrow = (
            span(view, tolerance=TOLERANCE + sign * 2 * u).narrowest_span for sign in (1, -1)
        )
        halves[name] = abs(wide - narrow).drop_vars("frequency", errors="ignore") / 2
    return xr.Dataset(halves)


def _step(prediction: xr.Dataset, answers: xr.Dataset) -> dict[str, xr.DataArray]:
    """Half of what the half-step frequency changes when the lowest level is off by ±2u; 2u.

    u is taken at the lowest frequency or at the half step, whichever is larger, for the first, and
    over all frequencies at which the rise is sought for the second.
    """
    frequency = prediction.frequency.values
    half, rise = answers.half_step_frequency, answers.step_rise
    u = np.fmax(level_error(prediction, half.values), level_error(prediction, frequency[0]))
    lowest = xr.DataArray(np.arange(frequency.size) == 0, dims="frequency")
    error = xr.DataArray(u, dims="driver")
    late, early = (
        baffle_step(
            prediction.assign(
                arc_field=prediction.arc_field * 10 ** (lowest * sign * 2 * error / 20)
            )
        ).half_step_frequency.values
        for sign in (1, -1)
    )
    # Where one side of the error leaves no half step, nothing is sure of it.
    moved = np.where(np.isfinite(late - early), abs(late - early) / 2, half.values)
    limits = MOST_KA * prediction.attrs["speed_of_sound"] / (np.pi * prediction.piston_diameter)
    over = [level_uncertainty(prediction, (frequency[0], limit)) for limit in limits.values]
    return {
        "half_step_frequency": half.copy(data=np.where(half.notnull(), moved, np.nan)),
        "step_rise": rise.copy(data=2 * np.array(over)),
    }
