"""What is kept of a build: its curves, as levels, and its figures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
import xarray as xr

from acoustics.case.design.model import BAND, SMOOTHING, Aim
from acoustics.conventions import MAIN_SEAT, REFERENCE_PRESSURE
from acoustics.listening.aims import (
    CURVE_MEASURES,
    MEASURES,
    Measured,
    curve_figure,
    even,
    verdict,
)
from acoustics.listening.bands import why_not_covered
from acoustics.listening.levels import band_level, level
from acoustics.listening.listeners import Listener, listeners
from acoustics.listening.ripple import ripple_and_tilt
from acoustics.listening.standard_curves import LISTENING_WINDOW, ORBITS, Direction, curve_shares
from acoustics.listening.window_ripple import both_ripples
from acoustics.studies.sweeps.figures import FIGURES

STANDARD = (
    "on_axis",
    "listening_window",
    "early_reflections",
    "sound_power",
    "estimated_in_room",
)
"""Curves of ANSI/CTA-2034-A whose bands are told; beside them the directivity index."""

DIRECTIONS: tuple[Direction, ...] = (
    ("horizontal", -60.0),
    ("horizontal", -30.0),
    ("horizontal", 30.0),
    ("horizontal", 60.0),
    ("vertical", -10.0),
    ("vertical", 10.0),
)
"""Directions off the axis whose bands are told."""

GENERAL = (
    "axis_ripple",
    "axis_tilt",
    "axis_level",
    "window_ripple",
    "window_tilt",
    "relative_ripple",
    "seat_ripple",
    "lobe_window",
)
"""Figures told of every design, as `sweeps.figures.FIGURES` has them."""

SILENCE = -120.0
"""dB re 20 µPa: fainter levels are told as this, so that percentiles stay numbers."""

SINGLE_PRECISION = 1e-5
"""Relative: pressures near the design differ by this where they should be alike."""

_LOBES = Aim("", "lobe window", "seat", None, None, 0.0, None)

_VARIABLES = (
    "arc_total",
    "seat_total",
    "seat_pressure",
    "seat_field",
    "reflection",
    "height_total",
    "height_position",
    "seat_position",
    "strength",
    "filter",
    "source",
)
_COORDINATES = (
    "driver",
    "frequency",
    "plane",
    "angle",
    "speaker",
    "seat",
    "ear_height",
    "height",
    "path",
    "surroundings",
    "axis",
    "driver_x",
    "driver_y",
    "driver_z",
)
"""What figures rest on; fewer variables make them quicker."""


@dataclass(frozen=True)
class Told:
    """What is told of every build, as the design decides it.

    who: seats and the cabinets heard there; cabinets of a pair that sound alike at a seat in the
    design do so in every build, because both are built alike. crossovers: numbers of the predicted
    frequencies nearest the design's. heights: those of the design, m. aims: those of the case.
    """

    who: tuple[Listener, ...]
    crossovers: tuple[int, ...]
    heights: tuple[float, ...]
    aims: tuple[Aim, ...]

    @property
    def figures(self) -> int:
        """How many figures `figures_of` gives."""
        return len(GENERAL) + 2 * len(self.aims)


def told_of(design: xr.Dataset, aims: tuple[Aim, ...]) -> Told:
    """What is told of every build of a design, from its prediction."""
    at = design.attrs["crossover_frequencies"]
    grid = np.log(design.frequency.values)
    nearest = tuple(int(np.argmin(np.abs(grid - np.log(one)))) for one in at)
    return Told(
        listeners(design, SINGLE_PRECISION), nearest, tuple(design.height.values.tolist()), aims
    )


def curves_of(told: Told, build: xr.Dataset) -> dict[str, np.ndarray]:
    """The curves of a build, dB (ohm for the impedance), by the names of the answer's variables."""
    arcs = build.arc_total.transpose("plane", "angle", "frequency").values
    power = np.stack([arcs[place] for place in _places(build, ORBITS)])
    shares = _shares()
    means = np.stack([shares[name] for name in STANDARD]) @ np.abs(power) ** 2
    found = dict(zip(STANDARD, _decibels(means, 2), strict=True))
    found["sound_power_index"] = found["listening_window"] - found["sound_power"]
    found["direction_level"] = _decibels(
        np.stack([arcs[place] for place in _places(build, DIRECTIONS)])
    )
    axis = _places(build, (("horizontal", 0.0),))[0]
    drivers = build.arc_pressure.transpose("plane", "angle", "driver", "frequency")
    found["driver_level"] = _decibels(drivers.values[axis])
    seats = build.seat_total.transpose(
        "speaker", "seat", "surroundings", "ear_height", "frequency"
    ).values
    heights = build.height_total.transpose("speaker", "seat", "height", "frequency").values
    rows = [
        (
            build.speaker.values.tolist().index(one.speaker),
            build.seat.values.tolist().index(one.seat),
        )
        for one in told.who
    ]
    found["seat_level"] = _decibels(np.stack([seats[row] for row in rows]))
    found["height_level"] = _decibels(heights[rows[0]][:, list(told.crossovers)].T)
    if "input_impedance" in build:
        found["input_impedance"] = np.abs(build.input_impedance.values)
    return {name: values.astype(np.float32) for name, values in found.items()}


class Taken(NamedTuple):
    """What figures of one build follow from: some of them take as long for one as for many.

    axis: pressure on the reference axis, (frequency); window: in the directions of the listening
    window, (direction, frequency); ears: at the main seat in free space, (speaker, ear_height,
    frequency); Pa. measured: what the measures that are no figures of curves came to, by aim, and
    lobes the lobe window.
    """

    axis: np.ndarray
    window: np.ndarray
    ears: np.ndarray
    measured: tuple[Measured | None, ...]
    lobes: Measured


def taken(told: Told, build: xr.Dataset) -> Taken:
    """Take from the prediction of a build what its figures follow from."""
    view = _view(told, build)
    arcs = view.arc_total.transpose("plane", "angle", "frequency").values
    window = np.stack([arcs[place] for place in _places(build, LISTENING_WINDOW)])
    free = view.seat_total.sel(surroundings="free space", seat=MAIN_SEAT)
    lobes = MEASURES["lobe window"][0](_LOBES, view, False)
    found = list[Measured | None]()
    for aim in told.aims:
        if aim.measure in CURVE_MEASURES:
            found.append(None)
        elif aim.measure == "lobe window":
            found.append(lobes)
        else:
            found.append(MEASURES[aim.measure][0](aim, view, False))
    ears = free.transpose("speaker", "ear_height", "frequency").values
    return Taken(window[0], window, ears, tuple(found), lobes)


def figures_of(told: Told, frequency: np.ndarray, builds: Sequence[Taken]) -> np.ndarray:
    """`GENERAL` in their order, then the value of every aim's measure, then whether it is met.

    1 for met, 0 for missed, NaN where that or a figure is not known; the place that fares worst
    decides. What the field solver's error may do to them is not asked.

    Returns:
        Shape (build, figure).
    """
    grid = {"frequency": frequency}
    window = xr.DataArray(
        np.stack([one.window for one in builds]), grid, ("build", "direction", "frequency")
    )
    places = {
        "reference axis": window.isel(direction=[0]),
        "listening window": (abs(window) ** 2).mean("direction", keepdims=True) ** 0.5,
        "seat": xr.DataArray(
            np.stack([one.ears.reshape(-1, frequency.size) for one in builds]),
            grid,
            ("build", "place", "frequency"),
        ),
    }
    found = _general(window, places)
    found["lobe_window"] = np.array(
        [min((each.value for each in one.lobes.figures), default=np.nan) for one in builds]
    )
    values, met = [], []
    for n, aim in enumerate(told.aims):
        measured: Sequence[Measured | None] = [one.measured[n] for one in builds]
        if aim.measure in CURVE_MEASURES:
            measured = _on_curve(aim, places[aim.where])
        judged = [verdict(aim, one) for one in measured if one is not None]
        values.append([np.nan if each.value is None else each.value for each in judged])
        met.append([np.nan if each.met is None else float(each.met) for each in judged])
    return np.stack([*(found[name] for name in GENERAL), *map(np.array, values + met)], axis=1)


def _on_curve(aim: Aim, pressure: xr.DataArray) -> list[Measured]:
    """What a measure that is a figure of curves comes to in each build."""
    assert aim.band is not None
    gap = why_not_covered(pressure.frequency.values, aim.band, aim.smoothing)
    if gap:
        return [Measured((), gap)] * pressure.sizes["build"]
    rows = curve_figure(aim, pressure).values
    return [Measured(tuple(even("", value, 0.0) for value in row)) for row in rows.tolist()]


def _view(told: Told, build: xr.Dataset) -> xr.Dataset:
    """The build at the main seat, from one cabinet of those that sound alike there."""
    apart = [one.speaker for one in told.who if one.main]
    view = build[[name for name in _VARIABLES if name in build]]
    view = view.drop_vars([name for name in view.coords if name not in _COORDINATES])
    return view.sel(seat=[MAIN_SEAT], speaker=apart)


def _general(window: xr.DataArray, places: dict[str, xr.DataArray]) -> dict[str, np.ndarray]:
    """`GENERAL` but for the lobes, as `key_figures` has them, each of shape (build,)."""
    frequency = window.frequency.values
    found = dict.fromkeys(GENERAL, np.full(window.sizes["build"], np.nan))
    axis, mean, ears = (places[name] for name in ("reference axis", "listening window", "seat"))
    if not why_not_covered(frequency, BAND):
        found["axis_level"] = band_level(axis, frequency, BAND).values[:, 0]
    if why_not_covered(frequency, BAND, SMOOTHING):
        return found
    common, _, each = both_ripples(abs(window) ** 2, frequency, BAND, SMOOTHING)
    on_axis = ripple_and_tilt(level(axis), frequency)
    found["axis_ripple"], found["axis_tilt"] = (one.values[:, 0] for one in on_axis)
    found["window_ripple"] = common.values
    found["window_tilt"] = ripple_and_tilt(level(mean), frequency)[1].values[:, 0]
    found["relative_ripple"] = each.values.max(axis=1)
    found["seat_ripple"] = ripple_and_tilt(level(ears), frequency)[0].values.max(axis=1)
    return found


def meaning_of(figure: str) -> tuple[str, str]:
    """Unit and meaning of a general figure."""
    return FIGURES[figure].units, FIGURES[figure].long_name


def _places(build: xr.Dataset, directions: tuple[Direction, ...]) -> list[tuple[int, int]]:
    """Numbers of plane and angle of some directions."""
    planes, angles = build.plane.values.tolist(), build.angle.values
    return [(planes.index(plane), int(np.argmin(np.abs(angles - a)))) for plane, a in directions]


@lru_cache(1)
def _shares() -> dict[str, np.ndarray]:
    """`curve_shares`, once for all builds."""
    return curve_shares()


def _decibels(values: np.ndarray, power: int = 1) -> np.ndarray:
    """dB re 20 µPa of pressures, or of their squares (power 2), no fainter than `SILENCE`."""
    with np.errstate(divide="ignore"):
        size = 20 / power * np.log10(np.abs(values)) - 20 * np.log10(REFERENCE_PRESSURE)
    answer: np.ndarray = np.maximum(size, SILENCE)
    return answer
