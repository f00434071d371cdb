"""Triangles on a box with a disc in its front: what boundary elements need, without a mesher.

Lines graded toward the edges make rectangles on every face, each cut in two; on the front, rings
round the disc take the place of the nearest crossings and scipy joins the points (Delaunay).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from scipy.spatial import Delaunay

GRADING = 1.4
"""power of the distance from an edge by which lines crowd toward it; 1 is evenly"""

GROWTH = 1.5
"""of the rings round the disc, from one to the next"""


class Mesh(NamedTuple):
    """A closed surface of triangles."""

    points: np.ndarray
    """(vertex, 3), m"""
    triangles: np.ndarray
    """(triangle, 3) of vertices, counter-clockwise from outside"""
    moving: np.ndarray
    """(triangle,): whether it is of the disc"""


def box_mesh(
    size: tuple[float, float, float],
    centre: tuple[float, float],
    radius: float,
    cell: float,
    sides: int,
    grading: float = GRADING,
) -> Mesh:
    """Mesh a box standing behind the plane z = 0, its front centred on the origin.

    Args:
        size: width, height, depth, m.
        centre: of the disc, m.
        radius: of the disc, m; the polygon that stands for it has the same area.
        cell: the mean distance of lines, m.
        sides: of the polygon.
        grading: see GRADING.

    Raises:
        ArithmeticError: the triangles do not close, or miss the disc's area.
    """
    width, height, depth = size
    x, y, z = (_graded(length, cell, grading) for length in size)
    front = _with_disc(x, y, np.array(centre), radius, sides)
    pieces = [(np.column_stack([front, np.zeros(len(front))]), _joined(front))]
    pieces.append(_face(x, y, lambda a, b: (a, b, np.full_like(a, -depth))))
    for side in (-0.5, 0.5):
        pieces.append(_face(x, z, lambda a, b, s=side: (a, np.full_like(a, s * height), b)))
        pieces.append(_face(y, z, lambda a, b, s=side: (np.full_like(a, s * width), a, b)))
        pieces[-2:] = [(points - (0, 0, depth / 2), triangles) for points, triangles in pieces[-2:]]
    mesh = _sewn(pieces, np.array((0.0, 0.0, -depth / 2)))
    middle = mesh.points[mesh.triangles].mean(axis=1)
    away = np.hypot(*(middle[:, :2] - centre).T)
    moving = (np.abs(middle[:, 2]) < 1e-9) & (away < radius)
    _check(mesh, moving, math.pi * radius**2)
    return mesh._replace(moving=moving)


def _graded(length: float, cell: float, grading: float) -> np.ndarray:
    even = np.linspace(-1.0, 1.0, 2 * math.ceil(length / cell / 2) + 1)
    return 0.5 * length * np.sign(even) * (1.0 - (1.0 - np.abs(even)) ** grading)


def _with_disc(
    x: np.ndarray, y: np.ndarray, centre: np.ndarray, radius: float, sides: int
) -> np.ndarray:
    """Points of the front: crossings of its lines, and rings round the disc's centre."""
    area_matched = radius * math.sqrt(2 * math.pi / sides / math.sin(2 * math.pi / sides))
    crossings = np.stack(np.meshgrid(x, y, indexing="ij"), axis=-1).reshape(-1, 2)
    widest = max(np.diff(x).max(), np.diff(y).max())
    step = 2 * math.pi * area_matched / sides
    inner = max(round(area_matched / step), 1)
    rings = [np.zeros((1, 2))] + [
        _ring(area_matched * ring / inner, max(sides * ring // inner, 3), ring % 2)
        for ring in range(1, inner + 1)
    ]
    reach, number = area_matched, inner
    while step < 0.7 * widest:
        step *= GROWTH
        reach, number = reach + 0.87 * step, number + 1
        rings.append(_ring(reach, max(round(2 * math.pi * reach / step), 6), number % 2))
    border = (np.abs(crossings) >= (x[-1] - 1e-12, y[-1] - 1e-12)).any(axis=1)
    ringed = np.concatenate(rings) + centre
    inside = (np.abs(ringed) < (x[-1] - step / 3, y[-1] - step / 3)).all(axis=1)
    kept = border | (np.hypot(*(crossings - centre).T) > reach + 0.6 * step)
    return np.concatenate([crossings[kept], ringed[inside]])


def _ring(radius: float, count: int, turned: int) -> np.ndarray:
    angle = 2 * math.pi * (np.arange(count) + 0.5 * turned) / count
    return radius * np.stack([np.cos(angle), np.sin(angle)], axis=1)


def _joined(points: np.ndarray) -> np.ndarray:
    triangles = Delaunay(points).simplices
    a, b, c = (points[triangles[:, i]] for i in range(3))
    area = np.abs(np.linalg.det(np.stack([b - a, c - a], axis=1)))
    return triangles[area > 1e-9 * area.max()]


def _face(
    a: np.ndarray, b: np.ndarray, place: Callable[..., tuple[np.ndarray, ...]]
) -> tuple[np.ndarray, np.ndarray]:
    """A face's points, placed in space by `place(a, b)`, and its rectangles cut in two."""
    first, second = (grid.ravel() for grid in np.meshgrid(a, b, indexing="ij"))
    at = np.arange(first.size).reshape(a.size, b.size)
    corners = [part.ravel() for part in (at[:-1, :-1], at[1:, :-1], at[1:, 1:], at[:-1, 1:])]
    halves = [np.stack([corners[i] for i in half], axis=1) for half in ((0, 1, 2), (0, 2, 3))]
    return np.stack(place(first, second), axis=1), np.concatenate(halves)


def _sewn(pieces: list[tuple[np.ndarray, np.ndarray]], middle: np.ndarray) -> Mesh:
    """One surface: points that coincide are one, triangles look away from the middle."""
    starts = np.cumsum([0] + [len(points) for points, _ in pieces])
    points = np.concatenate([points for points, _ in pieces])
    triangles = np.concatenate([t + s for (_, t), s in zip(pieces, starts, strict=False)])
    _, first, same = np.unique(
        np.round(points, 9) + 0.0, axis=0, return_index=True, return_inverse=True
    )
    triangles = same.ravel()[triangles]
    points = points[first]
    a, b, c = (points[triangles[:, i]] for i in range(3))
    inward = np.einsum("ni,ni->n", np.cross(b - a, c - a), a - middle) < 0
    triangles[inward] = triangles[inward][:, ::-1]
    return Mesh(points, triangles, np.zeros(len(triangles), dtype=bool))


def _check(mesh: Mesh, moving: np.ndarray, area: float) -> None:
    borders = {(int(t[i]), int(t[i - 1])) for t in mesh.triangles for i in range(3)}
    if len(borders) != 3 * len(mesh.triangles) or any((b, a) not in borders for a, b in borders):
        raise ArithmeticError("the triangles do not close the surface")
    a, b, c = (mesh.points[mesh.triangles[moving, i]] for i in range(3))
    found = np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2
    if abs(found / area - 1) > 1e-6:
        raise ArithmeticError(f"the disc has {found:g} m² of {area:g} m²")
