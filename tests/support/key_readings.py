"""How the key figures of a case are read, through the front door and the rooms' public names."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np
import xarray as xr

import acoustics as ac
from acoustics.case.design.model import BAND
from acoustics.listening import band_level, key_figures, loudest, off_axis_level
from acoustics.listening.brief import reach
from acoustics.listening.input_impedance import lowest_impedance
from acoustics.listening.standard_curves import window_pressure

THIRD = 2 ** (1 / 6)
"""Half a third of an octave, as a ratio."""


@dataclass(frozen=True)
class Scene:
    """A case and all that its figures are read from, each computed once and only if asked for.

    `solve` computes the field in place of the solver.
    """

    case: ac.Case
    solve: Any = None

    @cached_property
    def prediction(self) -> xr.Dataset:
        return ac.predict(self.case, solve=self.solve)

    @cached_property
    def answers(self) -> xr.Dataset:
        return key_figures(self.case, self.prediction)

    @cached_property
    def curves(self) -> xr.Dataset:
        return ac.standard_curves(self.prediction)

    @cached_property
    def loud(self) -> xr.Dataset:
        return loudest(self.prediction)

    @cached_property
    def box(self) -> xr.Dataset:
        return ac.box_study(self.case)

    @cached_property
    def walls(self) -> Any:
        return ac.structure_study(self.case)


def level_at_1_m(scene: Scene) -> float:
    window = window_pressure(scene.prediction)
    at = float(band_level(window, scene.prediction.frequency, BAND))
    return at + 20 * np.log10(scene.prediction.attrs["reference_distance"])


def window_reach(scene: Scene) -> float:
    return reach(scene.prediction).value


def ripple(scene: Scene, where: str) -> float:
    return float(scene.answers[f"{where}_ripple"])


def tilt(scene: Scene, where: str) -> float:
    return float(scene.answers[f"{where}_tilt"])


def crossover(scene: Scene, upper: str) -> float:
    found = scene.answers
    return float(found.crossover_frequency.values[found.upper_driver.values == upper].item())


def lobe_top(scene: Scene, ear_height: float) -> float:
    ends = scene.answers.window_high.isel(listener=0).sel(ear_height=ear_height)
    return float(ends.min("crossover", skipna=False))


def height_span(scene: Scene, ear_height: float) -> float:
    return float(scene.answers.height_span.isel(listener=0).sel(ear_height=ear_height))


def dip_frequency(scene: Scene, surface: str, ear_height: float) -> float:
    found = scene.answers.dip_frequency.isel(listener=0)
    return float(found.sel(surface=surface, ear_height=ear_height))


def dip_depth(scene: Scene, surface: str, ear_height: float) -> float:
    found = scene.answers.dip_depth.isel(listener=0)
    return float(found.sel(surface=surface, ear_height=ear_height))


def directivity_index(scene: Scene, frequency: float) -> float:
    return _third(scene.curves.sound_power_index, frequency)


def off_axis(scene: Scene, plane: str, angle: float, frequency: float) -> float:
    return _third(off_axis_level(scene.prediction).sel(plane=plane, angle=angle), frequency)


def narrowest_beam(scene: Scene, plane: str) -> float:
    return float(scene.answers.least_beamwidth.sel(plane=plane))


def half_step(scene: Scene, driver: str) -> float:
    return float(scene.answers.half_step_frequency.sel(driver=driver))


def filter_gain(scene: Scene, driver: str) -> float:
    gain = abs(scene.prediction["filter"].sel(driver=driver))
    return float(20 * np.log10(gain.max()))


def most_at_the_seat(scene: Scene, frequency: float) -> float:
    return float(scene.loud.seat_highest.sel(frequency=frequency, method="nearest"))


def least_impedance(scene: Scene) -> float:
    return lowest_impedance(scene.prediction).impedance


def net_volume(scene: Scene, enclosure: str) -> float:
    return 1e3 * float(scene.box.net_volume.sel(enclosure=enclosure))


def box_f3(scene: Scene, enclosure: str) -> float:
    return float(scene.box.f3.sel(enclosure=enclosure))


def box_tuning(scene: Scene, enclosure: str) -> float:
    return float(scene.box.tuning.sel(enclosure=enclosure))


def port_length(scene: Scene, port: str) -> float:
    return 1e3 * _of_radiator(scene.box, "port_length", port)


def radiator_mass(scene: Scene, radiator: str) -> float:
    return 1e3 * _of_radiator(scene.box, "moving_mass", radiator)


def closest_wall(scene: Scene, wall: str) -> float:
    return next(each.level for each in scene.walls.closest if each.wall == wall)


def wall_mode(scene: Scene, wall: str) -> float:
    modes = next(each for each in scene.walls.walls if each.wall.name == wall)
    return float(modes.frequency[0])


class Reading(NamedTuple):
    """What reads a figure, and its unit."""

    read: Callable[..., float]
    unit: str


READINGS: dict[str, Reading] = {
    "level at 1 m": Reading(level_at_1_m, "dB"),
    "reach": Reading(window_reach, "Hz"),
    "ripple": Reading(ripple, "dB"),
    "tilt": Reading(tilt, "dB/octave"),
    "crossover": Reading(crossover, "Hz"),
    "lobe window's top": Reading(lobe_top, "m"),
    "height span": Reading(height_span, "m"),
    "first dip": Reading(dip_frequency, "Hz"),
    "first dip's depth": Reading(dip_depth, "dB"),
    "directivity index": Reading(directivity_index, "dB"),
    "off-axis level": Reading(off_axis, "dB"),
    "narrowest beam": Reading(narrowest_beam, "degree"),
    "half step": Reading(half_step, "Hz"),
    "filter's highest gain": Reading(filter_gain, "dB"),
    "most at the seat": Reading(most_at_the_seat, "dB"),
    "lowest impedance": Reading(least_impedance, "ohm"),
    "net volume": Reading(net_volume, "l"),
    "box's f3": Reading(box_f3, "Hz"),
    "box's tuning": Reading(box_tuning, "Hz"),
    "port's length": Reading(port_length, "mm"),
    "passive radiator's mass": Reading(radiator_mass, "g"),
    "closest wall": Reading(closest_wall, "dB"),
    "wall's lowest mode": Reading(wall_mode, "Hz"),
}
"""Levels in dB are re 20 µPa for 2.83 V, or relative where a reading says so."""


def _third(curve: xr.DataArray, frequency: float) -> float:
    """Mean of a curve in dB over a third of an octave."""
    return float(curve.sel(frequency=slice(frequency / THIRD, frequency * THIRD)).mean())


def _of_radiator(box: xr.Dataset, figure: str, name: str) -> float:
    names = [str(each) for each in box.radiator.values]
    return float(box[figure].values[names.index(name)])
