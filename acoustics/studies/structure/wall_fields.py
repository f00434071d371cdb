"""What is heard of places on the walls, and of the drivers, by the field solver.

The field of a wall is smooth over it once the flight to the listener is taken out, so a few discs a
wall are solved at a few frequencies, and patches and frequencies in between are interpolated.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Any

import numpy as np
import xarray as xr
from scipy.interpolate import CubicSpline, RBFInterpolator

from acoustics.cabinet import Piston
from acoustics.case.design.model import Case
from acoustics.conventions import Air
from acoustics.prediction.fields import by_receiver
from acoustics.prediction.layout import layout_of
from acoustics.structure.wall_forced import WallResponse
from acoustics.structure.wall_lines import edge_distance
from acoustics.structure.walls import Wall

HIGHEST = 2000.0
"""Hz: how far up walls are heard at most; beyond it a few discs a wall say too little."""

STEP = 140.0
"""Hz between solved frequencies: the way round a cabinet is half a metre longer than straight
through it, which turns the phase by a fifth of a circle a step."""

LOW = (0.02, 0.05)
"""Lowest solved frequencies, as shares of the highest: below, a cabinet is as good as a point."""

DISCS = 8
"""Discs a wall, about; two each way at least."""

SMALL = 0.3
"""Radius of a disc over its distance from the nearest edge, at most: near edges cost most."""

LARGEST = 0.02
"""m: largest radius of a disc"""

ACCURACY = 1.0
"""dB asked of the field solver"""

FAR = 2.0
"""Radius of the sphere over which power is taken, in diagonals of the cabinet, at least."""


@dataclass(frozen=True)
class WallFields:
    """Sound pressure per volume velocity, Pa per m³/s, at a few points round a cabinet.

    Attributes:
        frequency: Hz, shape (frequency,).
        points: the one on the reference axis first, then a sphere, shape (receiver, 3), m.
        weights: of the mean over the sphere, shape (receiver,); 0 of the reference axis.
        radiators: of drivers, then ports and passive radiators, (radiator, receiver, frequency).
        walls: of every patch of every wall, by its name, (patch, receiver, frequency).
    """

    frequency: np.ndarray
    points: np.ndarray
    weights: np.ndarray
    radiators: np.ndarray
    walls: dict[str, np.ndarray]


def wall_fields(
    case: Case,
    responses: Sequence[WallResponse],
    frequency: np.ndarray,
    *,
    solve: Callable[..., xr.DataArray],
    progress: Callable[..., Any] | None = None,
) -> WallFields:
    """Solve the field of all walls and drivers on the rigid cabinet in free space.

    Args:
        case: the design.
        responses: of walls, for their patches.
        frequency: Hz, ascending, shape (frequency,), up to `HIGHEST`.
        solve: with the signature of `acoustics.field.solve_field`.
        progress: handed to it.

    Raises:
        GeometryError: a driver that cannot be where the case puts it.
    """
    layout = layout_of(case)
    discs = [wall_discs(response.wall) for response in responses]
    pistons = [*layout.pistons, *(disc for own in discs for disc in own)]
    points, weights = listeners(case, layout.corners)
    nodes = solved_frequencies(float(frequency[-1]))
    how: dict[str, Any] = {"air": case.air, "accuracy": ACCURACY, "progress": progress}
    field = by_receiver(solve(layout.body, pistons, points, nodes, **how))
    count = len(layout.pistons)
    centres = np.array([piston.centre for piston in pistons])
    smooth = field / free_field(centres, points, nodes, case.air)
    own = between(nodes, smooth[:count], frequency)
    radiators = own * free_field(centres[:count], points, frequency, case.air)
    walls = {}
    for response, group in zip(responses, discs, strict=True):
        ends = slice(count, count + len(group))
        count = ends.stop
        patches = over_wall(centres[ends], smooth[ends], response.patch_point)
        walls[response.wall.name] = between(nodes, patches, frequency) * free_field(
            response.patch_point, points, frequency, case.air
        )
    return WallFields(frequency, points, weights, layout.per_radiator(radiators), walls)


def wall_discs(wall: Wall) -> list[Piston]:
    """A few small discs all over the outer face of a wall, clear of its edges.

    They stand in the middles of equal cells of the rectangle round its free outline, those beside
    it drawn toward its middle.
    """
    low, size = wall.corners.min(axis=0), wall.size
    ratio = math.sqrt(size[0] / size[1])
    wanted = (round(math.sqrt(DISCS) * each) for each in (ratio, 1 / ratio))
    counts = [min(max(2, each), DISCS // 2) for each in wanted]
    middle = wall.corners.mean(axis=0)
    discs = []
    for column, row in product(*(range(count) for count in counts)):
        place = low + np.array(size) * (np.array([column, row]) + 0.5) / counts
        least = 0.1 * min(size)
        while edge_distance(wall.corners, (float(place[0]), float(place[1]))) < least:
            place = middle + 0.9 * (place - middle)
        room = edge_distance(wall.corners, (float(place[0]), float(place[1])))
        centre = wall.frame.point(float(place[0]), float(place[1]))
        discs.append(Piston(min(LARGEST, SMALL * room), centre))
    return discs


def listeners(case: Case, corners: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The point on the reference axis, then a sphere about the cabinet, and weights of its mean.

    Fourteen points: middles of the faces and corners of a cube, weights 1/15 and 3/40, exact for
    polynomials of degree 5 (Abramowitz & Stegun, Handbook of Mathematical Functions, 25.4.65, from
    memory).
    """
    axis = np.array([*case.reference.point, case.reference.distance])
    middle = (corners.min(axis=0) + corners.max(axis=0)) / 2
    radius = max(case.reference.distance, FAR * float(np.linalg.norm(np.ptp(corners, axis=0))))
    faces = np.concatenate([np.eye(3), -np.eye(3)])
    vertices = np.array(list(product((-1, 1), repeat=3))) / math.sqrt(3)
    sphere = middle + radius * np.concatenate([faces, vertices])
    weights = np.concatenate([[0.0], np.full(6, 1 / 15), np.full(8, 3 / 40)])
    return np.concatenate([axis[None], sphere]), weights


def solved_frequencies(highest: float) -> np.ndarray:
    """Frequencies at which the field is solved, Hz."""
    count = max(4, math.ceil(highest / STEP))
    return np.concatenate([np.array(LOW), np.arange(1, count + 1) / count]) * highest


def free_field(
    sources: np.ndarray, points: np.ndarray, frequency: np.ndarray, air: Air
) -> np.ndarray:
    """Of point sources without a body: jωρ exp(−jkR)/(4πR), (source, point, frequency)."""
    away = np.linalg.norm(sources[:, None] - points, axis=-1)[..., None]
    turn = 2 * np.pi * frequency
    flight = np.exp(-1j * turn / air.speed_of_sound * away)
    answer: np.ndarray = 1j * turn * air.density * flight / (4 * np.pi * away)
    return answer


def between(nodes: np.ndarray, values: np.ndarray, frequency: np.ndarray) -> np.ndarray:
    """Values at other frequencies (last axis); below the lowest node as there."""
    curve = CubicSpline(nodes, values, axis=-1)
    answer: np.ndarray = curve(np.clip(frequency, nodes[0], nodes[-1]))
    return answer


def over_wall(centres: np.ndarray, values: np.ndarray, patches: np.ndarray) -> np.ndarray:
    """Values at discs (disc, …) carried to patches of the same wall, (patch, …)."""
    # In the plane of the wall: the direction square to it is the one in which nothing varies.
    middle = centres.mean(axis=0)
    plane = np.linalg.svd(centres - middle, full_matrices=False)[2][:2]
    flat = values.reshape(len(values), -1)
    carried = RBFInterpolator((centres - middle) @ plane.T, flat)((patches - middle) @ plane.T)
    answer: np.ndarray = carried.reshape(len(patches), *values.shape[1:])
    return answer
