"""Outlines of boards, and the tilt of their edges."""

from __future__ import annotations

import math

import numpy as np
from scipy.spatial import ConvexHull

from acoustics.structure.board_model import Board

SQUARE = 1e-6
"""degrees: a bevel of less is a square cut"""

ASIDE = 5e-5
"""m: a corner or hole this far aside makes a board different from its mirror image"""

FINE = 9
"""decimals of a metre to which corners are told: those of two faces then fall together"""


def outline_of(points: np.ndarray) -> tuple[tuple[float, float], ...]:
    """The convex outline round points (point, 2), m, counter-clockwise from the lower left one."""
    places = np.unique(np.round(points, FINE) + 0.0, axis=0)
    corners = places[ConvexHull(places).vertices]
    first = int(np.lexsort((corners[:, 0], corners[:, 1]))[0])
    return tuple((float(x), float(y)) for x, y in np.roll(corners, -first, axis=0))


def bevel_of(side: np.ndarray, outward: np.ndarray) -> float:
    """How far a side is tilted from square to a board's face, degrees.

    Args:
        side: outward unit normal of the side.
        outward: that of the board's outer face.

    Returns:
        positive where the outer face is the longer one.
    """
    tilt = -math.degrees(math.asin(float(np.clip(side @ outward, -1.0, 1.0))))
    return tilt if abs(tilt) > SQUARE else 0.0


def lopsided(board: Board) -> bool:
    """Whether a board differs from its mirror image, left for right."""
    width = board.size[0]
    there = {(round((width - x) / ASIDE), round(y / ASIDE)) for x, y in board.outline}
    if there != {(round(x / ASIDE), round(y / ASIDE)) for x, y in board.outline}:
        return True
    middles = [(hole.centre, hole.size) for hole in board.holes]
    return any(
        not any(
            math.dist((width - x, y), centre) < ASIDE and size == other for centre, other in middles
        )
        for (x, y), size in middles
    )
