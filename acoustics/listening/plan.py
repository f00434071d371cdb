"""The room as it stands: cabinets, seats and surfaces, in the room's own coordinates."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import xarray as xr

from acoustics.case.design.model import Cabinet, Placement
from acoustics.conventions import DIRECT
from acoustics.listening.body_shape import body_corners, reference_point
from acoustics.room.images import PLANES
from acoustics.room.placement import to_room

SIZES = ("width", "height", "depth", "base_height")


@dataclass(frozen=True)
class RoomPlan:
    """Where everything stands; x right of the middle, y up from the floor, z ahead, m.

    `cabinets`: the corners of each, (corner, 3), by name; `axes`: where each reference axis leaves
    the front face and a metre farther, (2, 3); `seats`: each ear, (ear_height, 3); `surfaces`: axis
    of the normal (0, 1, 2) and where on it the surface lies.
    """

    cabinets: dict[str, np.ndarray]
    axes: dict[str, np.ndarray]
    seats: dict[str, np.ndarray]
    surfaces: dict[str, tuple[int, float]]


def room_plan(prediction: xr.Dataset) -> RoomPlan:
    """Find where everything stands from a prediction's attributes and positions."""
    given = prediction.attrs
    placement = Placement(
        given["placement"] != "single", float(given["spacing"]), float(given["toe_in"])
    )
    width, height, depth, base = (float(given[f"cabinet_{size}"]) for size in SIZES)
    bottom = float(given["floor_level"]) + base
    cabinet = Cabinet(width, height, depth, base, bottom=bottom)
    speakers = [str(name) for name in prediction.speaker.values]
    corners = body_corners(prediction)
    axis = reference_point(prediction) + np.array([[0.0, 0.0, 0.0], [0.0, 0.0, 1.0]])

    first = prediction.seat_position.sel(speaker=speakers[0])
    first = first.transpose("seat", "path", "ear_height", "axis")
    seats, surfaces = {}, {}
    for seat in (str(name) for name in prediction.seat.values):
        by_path = to_room(first.sel(seat=seat).values, speakers[0], placement, cabinet)
        names = [str(path) for path in prediction.path.values]
        ears = seats[seat] = by_path[names.index(DIRECT)]
        for name, images in zip(names, by_path, strict=True):
            if name != DIRECT:
                normal, _ = PLANES[name]
                surfaces[name] = normal, float((ears[0, normal] + images[0, normal]) / 2)
    return RoomPlan(
        {name: to_room(corners, name, placement, cabinet) for name in speakers},
        {name: to_room(axis, name, placement, cabinet) for name in speakers},
        seats,
        surfaces,
    )
