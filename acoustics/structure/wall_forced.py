"""How the walls answer an even pressure inside the box, and forces where drivers are screwed on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from acoustics.field.blas import one_blas_thread
from acoustics.structure.plate_points import joined, polygon_points
from acoustics.structure.wall_groups import Group, Panel
from acoustics.structure.wall_modes import on_board
from acoustics.structure.walls import Wall

PATCH = 0.05
"""m: sides of the patches for which velocities are given, at most."""

PATCH_POINTS = 4
"""Points each way on a triangle of a patch."""


@dataclass(frozen=True)
class WallResponse:
    """What a wall does at each frequency, complex, exp(+jωt), outward positive.

    Forces are those on drivers of this wall and of the walls that struts join it to, in newtons
    outward along their own wall's normal, even round the driver's screws.

    Attributes:
        wall: the wall.
        frequency: Hz, shape (frequency,).
        per_pressure: volume velocity for an even pressure inside, m³/s/Pa, shape (frequency,).
        drivers: names of the drivers.
        per_force: volume velocity for a force on each driver, m³/s/N, shape (driver, frequency).
        patch_place: middle of each patch of the wall, right and up, m, shape (patch, 2).
        patch_point: the same on the outer face, x, y, z, m, shape (patch, 3).
        patch_area: of the board in it, m², shape (patch,).
        patch_per_pressure: mean velocity of each patch, m/s/Pa, shape (patch, frequency).
        patch_per_force: m/s/N, shape (driver, patch, frequency).
    """

    wall: Wall
    frequency: np.ndarray
    per_pressure: np.ndarray
    drivers: tuple[str, ...]
    per_force: np.ndarray
    patch_place: np.ndarray
    patch_point: np.ndarray
    patch_area: np.ndarray
    patch_per_pressure: np.ndarray
    patch_per_force: np.ndarray


def wall_responses(
    groups: Sequence[Group], frequency: np.ndarray, *, patch: float = PATCH
) -> tuple[WallResponse, ...]:
    """The answer of every wall, group by group: all modes with their damping.

    All modes of Ritz's method count, those far above the frequencies by what they yield, so that
    nothing is cut off. Damping is structural, a loss factor for each mode.

    Args:
        groups: the walls, from `groups_of`.
        frequency: Hz, shape (frequency,).
        patch: how long and wide patches are at most, m.
    """
    frequency = np.asarray(frequency, dtype=float)
    with one_blas_thread():
        return tuple(
            response for group in groups for response in _group_responses(group, frequency, patch)
        )


def _group_responses(group: Group, frequency: np.ndarray, patch: float) -> list[WallResponse]:
    names, seats = driver_seats(group)
    yielding = 2j * np.pi * frequency * group.compliance(frequency)
    # Velocity of each mode for a unit of pressure, then of each force: (force, mode, frequency).
    modes = np.concatenate([group.drive[None], seats])[:, :, None] * yielding
    answer = []
    for panel, vectors in zip(group.panels, group.vectors, strict=True):
        place, area, means = patches_of(panel, patch)
        volume = (panel.area @ vectors) @ modes
        velocity = (means @ vectors) @ modes
        answer.append(
            WallResponse(
                wall=panel.wall,
                frequency=frequency,
                per_pressure=volume[0],
                drivers=names,
                per_force=volume[1:],
                patch_place=place,
                patch_point=panel.wall.frame.points(place[:, 0], place[:, 1]),
                patch_area=area,
                patch_per_pressure=velocity[0],
                patch_per_force=velocity[1:],
            )
        )
    return answer


def driver_seats(group: Group) -> tuple[tuple[str, ...], np.ndarray]:
    """Names of the drivers on some walls, and each mode's mean over their screws (driver, mode)."""
    names, rows = [], [np.zeros((0, len(group.slowness)))]
    for panel, vectors in zip(group.panels, group.vectors, strict=True):
        on = [n for n, each in enumerate(panel.wall.cutouts) if each.driver is not None]
        names += [panel.wall.cutouts[n].name for n in on]
        rows.append(panel.seats[on] @ vectors)
    return tuple(names), np.concatenate(rows)


def patches_of(panel: Panel, patch: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """A wall in patches: middles (patch, 2), m; areas (patch,), m²; means of the shapes.

    Means have the shape (patch, function). Patches without any board, in a cut-out or beside the
    wall, are left out. What a cut-out leaves of a patch is counted by points, so areas beside one
    are rough; they add up to within a few per cent of the wall's.
    """
    corners = panel.basis.corners
    low, size = corners.min(axis=0), np.ptp(corners, axis=0)
    counts = [math.ceil(side / patch - 1e-9) for side in size]
    lines = [low[k] + size[k] * np.arange(counts[k] + 1) / counts[k] for k in range(2)]
    cells = []
    for left, right in zip(lines[0][:-1], lines[0][1:], strict=True):
        strip = _between(corners, 0, left, right)
        for bottom, top in zip(lines[1][:-1], lines[1][1:], strict=True):
            cell = _between(strip, 1, bottom, top)
            if len(cell) >= 3:
                cells.append(polygon_points(cell, PATCH_POINTS))
    points = joined(cells)
    weight = points.weight * on_board(panel, points.x, points.y)
    starts = np.cumsum([0, *(len(cell.x) for cell in cells[:-1])])
    values = np.concatenate([[points.x, points.y], panel.basis.values(points.x, points.y)])
    areas = np.add.reduceat(weight, starts)
    there = areas > 0
    sums = np.add.reduceat(values * weight, starts, axis=1)[:, there] / areas[there]
    return sums[:2].T, areas[there], sums[2:].T


def _between(corners: np.ndarray, axis: int, low: float, high: float) -> np.ndarray:
    """What of a convex polygon lies where one coordinate is between two values, (corner, 2)."""
    # Turned by half a circle the polygon still runs counter-clockwise, and above is below.
    return -_above(-_above(corners, axis, low), axis, -high)


def _above(corners: np.ndarray, axis: int, at: float) -> np.ndarray:
    """What of a convex polygon lies where one coordinate is `at` or more, (corner, 2)."""
    kept = []
    for here, there in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        if here[axis] >= at:
            kept.append(here)
        if (here[axis] - at) * (there[axis] - at) < 0:
            kept.append(here + (at - here[axis]) / (there[axis] - here[axis]) * (there - here))
    return np.array(kept).reshape(-1, 2)
