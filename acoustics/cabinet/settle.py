"""Corners that nearly lie in their faces' planes, moved the least way that puts them there."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from acoustics.cabinet.body import PLANE_TOLERANCE

EXACT = 1e-4 * PLANE_TOLERANCE
STIFF = 1e-6
"""How much less readily a plane moves whose corners all lie in it already."""

MOST_STEPS = 8


def settled(points: np.ndarray, loops: Sequence[tuple[int, ...]]) -> np.ndarray:
    """Corners moved so that every loop of them lies in a plane.

    Newton's steps of least norm on n·p = d over corners p and planes (n, d) together; a convex
    polyhedron can always follow (Steinitz: its realisations form a manifold). Planes that hold
    exactly stay where they are as far as the others let them.

    Args:
        points: corners, shape (corner, 3), m.
        loops: corner indices of each face, counter-clockwise.

    Returns:
        corners, shape (corner, 3), m.
    """
    middle = points.mean(axis=0)
    moved = points - middle
    normals, offsets = _fitted(moved, loops)
    corner = np.concatenate([np.array(loop) for loop in loops])
    plane = np.repeat(np.arange(len(loops)), [len(loop) for loop in loops])
    worst = np.zeros(len(loops))
    np.maximum.at(worst, plane, np.abs(_misfit(moved, normals, offsets, corner, plane)))
    if worst.max() <= EXACT:
        return points
    give = np.where(worst <= EXACT, STIFF, 1.0)
    extent = float(np.abs(moved).max())
    scale = np.concatenate([np.ones(moved.size), np.repeat(give / extent, 3), give])
    for _ in range(MOST_STEPS):
        misfit = _misfit(moved, normals, offsets, corner, plane)
        if np.abs(misfit).max() <= EXACT:
            break
        slopes = _slopes(moved, normals, corner, plane)
        right_side = np.concatenate([-misfit, np.zeros(len(loops))])
        step = scale * np.linalg.lstsq(slopes * scale, right_side, rcond=None)[0]
        moved = moved + step[: moved.size].reshape(-1, 3)
        normals = normals + step[moved.size : moved.size + normals.size].reshape(-1, 3)
        offsets = offsets + step[moved.size + normals.size :]
        length = np.linalg.norm(normals, axis=1)
        normals, offsets = normals / length[:, None], offsets / length
    return moved + middle


def _fitted(points: np.ndarray, loops: Sequence[tuple[int, ...]]) -> tuple[np.ndarray, np.ndarray]:
    """Normals (Newell's sum) and mean offsets of the loops' planes."""
    normals, offsets = [], []
    for loop in loops:
        corners = points[list(loop)]
        normal = np.cross(corners, np.roll(corners, -1, axis=0)).sum(axis=0)
        normal = normal / np.linalg.norm(normal)
        normals.append(normal)
        offsets.append((corners @ normal).mean())
    return np.array(normals), np.array(offsets)


def _misfit(
    points: np.ndarray,
    normals: np.ndarray,
    offsets: np.ndarray,
    corner: np.ndarray,
    plane: np.ndarray,
) -> np.ndarray:
    """Height of each corner over each plane that it should lie in."""
    return np.einsum("ij,ij->i", points[corner], normals[plane]) - offsets[plane]


def _slopes(
    points: np.ndarray, normals: np.ndarray, corner: np.ndarray, plane: np.ndarray
) -> np.ndarray:
    """Derivatives of the misfits and of the normals' lengths by corners, normals and offsets."""
    rows = len(corner)
    by_normals, by_offsets = points.size, points.size + normals.size
    slopes = np.zeros((rows + len(normals), by_offsets + len(normals)))
    for axis in range(3):
        slopes[np.arange(rows), 3 * corner + axis] = normals[plane, axis]
        slopes[np.arange(rows), by_normals + 3 * plane + axis] = points[corner, axis]
        own = np.arange(len(normals))
        slopes[rows + own, by_normals + 3 * own + axis] = normals[:, axis]
    slopes[np.arange(rows), by_offsets + plane] = -1.0
    return slopes
