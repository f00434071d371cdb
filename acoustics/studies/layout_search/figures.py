"""What layouts are judged by: the qualities of a question, from the fields of their drivers."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np
import xarray as xr

from acoustics.case.design.place_model import Quality
from acoustics.listening.levels import decibels
from acoustics.listening.ripple import ripple_and_tilt
from acoustics.listening.symmetry import mirrored_difference
from acoustics.listening.window_ripple import both_ripples
from acoustics.studies.driver_map.moved import Fields
from acoustics.studies.driver_map.scene import Scene
from acoustics.studies.driver_map.with_the_others import (
    at_the_seats,
    floor_dips,
    seat_levels,
    sound_of,
)

SENSE: dict[Quality, int] = {
    "ripple off axis": 1,
    "common ripple": 1,
    "ripple on axis": 1,
    "sides": 1,
    "seat level": -1,
    "floor dip": 1,
}
"""1 where less is better, −1 where more is."""

IN_A_SENTENCE: dict[Quality, str] = {
    "ripple off axis": "ripple off axis",
    "common ripple": "common ripple",
    "ripple on axis": "ripple on the axis",
    "sides": "difference of left and right",
    "seat level": "level at the main seat",
    "floor dip": "depth of the floor dip",
}
"""what each is called in a sentence"""

AT_SEAT: tuple[Quality, ...] = ("seat level", "floor dip")


def figures(
    scene: Scene,
    fields: Sequence[Fields],
    centres: Sequence[np.ndarray],
    factors: Sequence[np.ndarray | None],
    wanted: Collection[Quality],
    band: tuple[float, float],
    smoothing: float | None,
) -> dict[Quality, np.ndarray]:
    """Some qualities of layouts, dB, each of shape (layout,).

    Those of the map: at the seats, the first cabinet at the main seat counts.

    Args:
        scene: what does not move.
        fields: of each driver taken out, complex, (layout, point, frequency); see
            `heard_sound.at_the_seats`.
        centres: likewise, m, (layout, 3).
        factors: likewise, see `Scene.drives`.
        wanted: which qualities.
        band: Hz.
        smoothing: denominator of a fraction of an octave, or None.
    """
    sound = sound_of(scene, [field for field, _ in fields], centres, factors)
    frequency = scene.frequency
    power = xr.DataArray(np.abs(sound.window) ** 2, dims=("place", "direction", "frequency"))
    found: dict[Quality, np.ndarray] = {}
    if {"ripple off axis", "common ripple"} & set(wanted):
        common, _, each = both_ripples(power, frequency, band, smoothing)
        found |= {"common ripple": common.values, "ripple off axis": each.max("direction").values}
    if "ripple on axis" in wanted:
        axis = decibels(power.isel(direction=0, drop=True))
        found["ripple on axis"] = ripple_and_tilt(axis, frequency, band, smoothing)[0].values
    if "sides" in wanted:
        sides = mirrored_difference(power, scene.directions, frequency, band, smoothing)
        found["sides"] = sides.values
    if set(AT_SEAT) & set(wanted):
        paths = at_the_seats(scene, sound, fields, centres)
        if "seat level" in wanted:
            found["seat level"] = seat_levels(scene, paths, band)[:, 0, 0]
        if "floor dip" in wanted:
            found["floor dip"] = floor_dips(scene, paths)[:, 0, 0]
    return {name: values for name, values in found.items() if name in wanted}
