"""How far a predicted figure may be off: the solver's error carried into every answer."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import xarray as xr

from acoustics.conventions import DIRECT
from acoustics.listening.baffle_step import MOST_KA, baffle_step
from acoustics.listening.bands import in_band
from acoustics.listening.directivity import FULL_CIRCLE
from acoustics.listening.distances import distances
from acoustics.listening.error import (
    FLOOR,
    NEPER,
    band_uncertainty,
    beam_change,
    curve_uncertainty,
    dip_error,
    dip_error_deeper,
    level_error,
    level_uncertainty,
    span_error,
    tilt_error,
    window_error,
)
from acoustics.listening.listeners import by_listener
from acoustics.listening.lobes import lobes

EXACT = 1e-4
"""relative: what interpolation leaves of figures that no solver error reaches"""

LEVELS = ("window_ripple", "room_ripple", "side_ripple")
TILTS = ("window_tilt", "room_tilt")
TWO_LEVELS = ("side_difference", "relative_ripple", "power_index")
"""answers off by u, by what u does to a tilt, and by 2u"""


def answer_uncertainty(prediction: xr.Dataset, answers: xr.Dataset) -> xr.Dataset:
    """The level's error u carried into each of `listening.key_figures`.

    u is taken over the band for figures of the band, and at the figure's own frequency for all
    others; on the axis and at the seats it grows in nulls (`curve_uncertainty`). A ripple and a
    mean level may be off by u; a tilt by what an error of opposite sign at the ends of the band
    does to a least-squares line, 1.5·2u over the octaves of the band. What compares two levels may
    be off by 2u: side difference, ripple relative to the axis, directivity index, the rise of the
    baffle step and lobe gain themselves; beams, windows and spans by half of what they change when
    their limit moves by ±2u; the half-step frequency by half of what it changes when the level it
    counts from does; a lobe's direction by how far the level stays within 2u of its maximum. A
    surface adds a wave to 1, off by 2u in all: its dip may be shallower by `dip_error` and deeper
    by `dip_error_deeper`, its frequency is off by the phase that goes with such an error.

    Args:
        prediction: as `predict` makes it.
        answers: `key_figures` of that prediction; `to_the_sides.side_ripple` may be with them.

    Returns:
        Same names, dims and units as the numbers in `answers`, but for the frequencies of the
        narrowest spans: those say where, and may jump. For the depths of dips, how much shallower
        they may be; how much deeper is in variables whose names end in "_above".
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
    spreads |= _curves(prediction, answers)
    if "surface" in answers.dims:
        for dip in ("dip", "deepest_dip"):
            spreads |= _dip(prediction, answers, dip)
    spreads |= _beam(prediction, answers)
    spreads |= _step(prediction, answers)
    spreads["crossover_frequency"] = answers.crossover_frequency * EXACT
    at_crossover = answers.crossover_frequency.copy(
        data=level_error(prediction, answers.crossover_frequency.values)
    )
    spreads["lobe_gain"] = spreads["aside_gain"] = 2 * at_crossover
    around = lobes(prediction)
    for way in ("lobe", "aside"):
        spreads[f"{way}_direction"] = _lobe(around, way, answers, at_crossover.values)
    windows = by_listener(prediction, window_error)
    spreads |= {
        name: answers[name].copy(data=windows[name].transpose(*answers[name].dims).values)
        for name in ("window_low", "window_high", "window_height")
    }
    spans = by_listener(prediction, lambda view: span_error(view, u))
    spreads |= {
        name: answers[name].copy(data=spans[name].transpose(*answers[name].dims).values)
        for name in ("height_span", "aside_span")
    }
    return xr.Dataset(spreads)


def _curves(prediction: xr.Dataset, answers: xr.Dataset) -> dict[str, xr.DataArray]:
    """Ripple, tilt and mean level on the axis and at the seats, whose curves may have nulls."""
    low, high = (float(end) for end in answers.attrs["band"])

    def errors(pressure: xr.DataArray) -> tuple[np.ndarray, np.ndarray]:
        return (
            curve_uncertainty(prediction, pressure, (low, high), answers.attrs["smoothing"]),
            band_uncertainty(prediction, pressure, (low, high)),
        )

    def at_the_seat(view: xr.Dataset) -> xr.Dataset:
        pressure = view.seat_total.sel(surroundings="free space", drop=True)
        way = distances(view, "seat").sel(path=DIRECT, drop=True)
        return xr.Dataset({"pressure": pressure * (way / prediction.attrs["reference_distance"])})

    axis = prediction.arc_total.sel(plane="horizontal", angle=0.0, drop=True)
    seats = by_listener(prediction, at_the_seat).pressure
    found = {}
    for place, (curve, mean) in (
        ("axis", errors(axis)),
        ("seat", errors(seats.transpose("listener", "ear_height", "frequency"))),
    ):
        found[f"{place}_ripple"] = curve
        found[f"{place}_tilt"] = curve * tilt_error(1.0, (low, high))
        found[f"{place}_level"] = mean
    return {
        name: xr.full_like(answers[name], 0.0, dtype=float) + error.reshape(answers[name].shape)
        for name, error in found.items()
    }


def _dip(prediction: xr.Dataset, answers: xr.Dataset, dip: str) -> dict[str, xr.DataArray]:
    frequency, depth = answers[f"{dip}_frequency"], answers[f"{dip}_depth"]
    # Without a dip there is no frequency, and a depth of 0 is as sure as a level.
    u = np.nan_to_num(level_error(prediction, frequency.values), nan=FLOOR / 2)
    return {
        f"{dip}_depth": depth.copy(data=dip_error(u, depth.values)),
        f"{dip}_depth_above": depth.copy(data=dip_error_deeper(u, depth.values)),
        f"{dip}_frequency": frequency * (2 * u * NEPER / np.pi),
    }


def _beam(prediction: xr.Dataset, answers: xr.Dataset) -> dict[str, xr.DataArray]:
    """Half of what the beams change when the axis is off by ∓u and all other angles by ±u."""
    both = beam_change(prediction, answers.attrs["smoothing"])
    inside = in_band(prediction.frequency.values, tuple(answers.attrs["band"]))
    octaves = [each.sel(frequency=answers.octave.values, method="nearest") for each in both]
    at_octaves = _half_change(octaves).transpose("plane", "frequency")
    least = answers.least_beamwidth * np.nan
    if inside.any():
        least = _half_change(
            [each.isel(frequency=inside).min("frequency", skipna=False) for each in both]
        )
    return {
        "least_beamwidth": least,
        "beamwidth": answers.beamwidth.copy(data=at_octaves.values),
    }


def _half_change(both: Sequence[xr.DataArray]) -> xr.DataArray:
    """Half of the widest minus the narrowest beam, degrees.

    An axis near a null has a beam on one side of the error only: nothing is sure of it then.
    """
    wide, narrow = both
    answer: xr.DataArray = (wide - narrow).fillna(FULL_CIRCLE) / 2
    return answer


def _lobe(around: xr.Dataset, way: str, answers: xr.Dataset, u: np.ndarray) -> xr.DataArray:
    """How far from the main lobe's direction the level stays within 2u of it, degrees."""
    angle = around.lobe_angle.values
    reach = []
    for direction, gain, error, level in zip(
        answers[f"{way}_direction"].values,
        answers[f"{way}_gain"].values,
        u,
        around[f"{way}_level"].transpose("crossover", "lobe_angle").values,
        strict=True,
    ):
        outside = np.abs(angle - direction)[level < gain - 2 * error]
        reach.append(outside.min(initial=180.0))
    return answers[f"{way}_direction"].copy(data=np.array(reach, dtype=float))


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
                cone_field=prediction.cone_field * 10 ** (lowest * sign * 2 * error / 20)
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
