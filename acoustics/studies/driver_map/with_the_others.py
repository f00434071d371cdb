"""What is heard of a scene once the drivers taken out are put back somewhere."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import xarray as xr

from acoustics.listening.floor_dip import deepest_floor_dips
from acoustics.listening.levels import band_level
from acoustics.prediction.receivers import reflections_of
from acoustics.studies.driver_map.moved import Fields
from acoustics.studies.driver_map.scene import Scene


@dataclass(frozen=True)
class Sound:
    """Pressure of all drivers in the window, Pa, complex (place, direction, frequency).

    `fields` are those of the drivers put back, all that moves with them included, Pa per m³/s,
    likewise; `drives` their volume velocities, m³/s, and `turn` a factor for others with acoustic
    slopes, both (place, frequency).
    """

    window: np.ndarray
    fields: tuple[np.ndarray, ...]
    drives: tuple[np.ndarray, ...]
    turn: np.ndarray


def sound_of(
    scene: Scene,
    cones: Sequence[np.ndarray],
    centres: Sequence[np.ndarray],
    factors: Sequence[np.ndarray | None] | None = None,
) -> Sound:
    """Put the drivers back and listen in the window.

    Args:
        scene: what does not move.
        cones: of each driver taken out, the field of its cone at every point of the scene, Pa per
            m³/s, complex, shape (place, point, frequency).
        centres: likewise its centre, m, shape (place, 3).
        factors: likewise as in `Scene.drives`.
    """
    window = [cone[:, scene.heard.window] for cone in cones]
    fields = [one.field(window, 0) for one in scene.taken]
    drives, turn = scene.drives(
        [field[:, 0] for field in fields], [cone[:, 0] for cone in window], centres, factors
    )
    as_they_are, computed = scene.window
    parts = [drive[:, None] * field for drive, field in zip(drives, fields, strict=True)]
    whole = sum(parts[1:], parts[0]) + as_they_are + computed * turn[:, None]
    return Sound(whole, tuple(fields), tuple(drives), turn)


def at_the_seats(
    scene: Scene, sound: Sound, fields: Sequence[Fields], centres: Sequence[np.ndarray]
) -> np.ndarray:
    """Pressure of all drivers at the seats, complex (place, speaker, seat, path, frequency).

    Args:
        scene: what does not move.
        sound: of the same places.
        fields: of each driver taken out, that of its cone at every point, and at the ears and their
            images over a floor as one body, Pa per m³/s, shape (place, point, frequency).
        centres: likewise its centre, m, shape (place, 3).
    """
    heard = scene.heard
    cones = []
    for (field, over_floor), centre in zip(fields, centres, strict=True):
        seat = field[:, heard.seat]
        if over_floor is not None:
            above, below = np.split(over_floor, 2, axis=1)
            together = (above + below).reshape(seat.shape[0], *seat.shape[1:3], -1)
            seat[:, :, :, 1] = together - seat[:, :, :, 0]
        seat *= reflections_of(scene.case, heard.receivers, centre, scene.frequency)[..., 0, :]
        cones.append(seat)
    spread = (slice(None), None, None, None)
    as_they_are, computed = scene.seat
    parts = [
        drive[spread] * one.field(cones, 1)
        for drive, one in zip(sound.drives, scene.taken, strict=True)
    ]
    answer: np.ndarray = sum(parts[1:], parts[0]) + as_they_are + computed * sound.turn[spread]
    return answer


def seat_levels(scene: Scene, paths: np.ndarray, band: tuple[float, float]) -> np.ndarray:
    """Mean level in a band with every reflection, dB re 20 µPa, (place, speaker, seat)."""
    total = xr.DataArray(paths.sum(axis=3), dims=("place", "speaker", "seat", "frequency"))
    answer: np.ndarray = band_level(total, scene.frequency, band).values
    return answer


def floor_dips(scene: Scene, paths: np.ndarray) -> np.ndarray:
    """Depth of the floor's deepest dip, dB, (place, speaker, seat)."""
    heard = scene.heard
    names = [surface.name for surface in scene.case.surfaces]
    floor = 1 + names.index("floor")
    point = np.array([*scene.case.reference.point, 0.0])
    depth = np.empty(paths.shape[:3])
    for speaker, seat in np.ndindex(heard.seat.shape[:2]):
        ears = heard.points[heard.seat[speaker, seat][[0, floor]]]
        direct, added = np.linalg.norm(ears - point, axis=-1)
        depth[:, speaker, seat] = deepest_floor_dips(
            paths[:, speaker, seat, 0],
            paths[:, speaker, seat, floor],
            scene.frequency,
            (float(direct), float(added)),
            scene.case.air.speed_of_sound,
        )
    return depth
