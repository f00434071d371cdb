"""Open baffles: plates with and without thickness."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from acoustics.cabinet.body import Body, Face
from acoustics.cabinet.corner_list import checked_corners, point_text
from acoustics.conventions import GeometryError

LEAST_CORNER = 1e-6
"""rad: an outline that turns by less has no corner there."""


def plate(*, width: float, height: float, thickness: float = 0.0) -> Body:
    """Make a rectangular plate, its front face centred on the origin in the plane z = 0.

    Args:
        width: along x, m.
        height: along y, m.
        thickness: m; 0 makes a plate of two faces that share all their edges.

    Raises:
        GeometryError: a length that is not positive (the thickness may be 0).
    """
    if thickness != 0:
        return Body.box(width=width, height=height, depth=thickness)
    for name, value in (("width", width), ("height", height)):
        if not (math.isfinite(value) and value > 0):
            raise GeometryError(f"plate: {name} must be positive, not {value!r} m")
    right, top = width / 2, height / 2
    return thin_plate([(-right, -top), (right, -top), (right, top), (-right, top)])


def thin_plate(outline: Sequence[Sequence[float]]) -> Body:
    """Make a plate without thickness in the plane z = 0: face 0 looks to +z, face 1 to -z.

    Its edges have the exterior angle 2π.

    Args:
        outline: corners (x, y), m, in order round the plate, either way round.

    Raises:
        GeometryError: fewer than three corners, corners that are not two finite numbers or twice
            there, an outline that crosses itself, is hollow, or runs straight through a corner.
    """
    corners = checked_corners(
        outline, dimension=2, owner="a plate's outline", title="outline corner"
    )
    turns = _turns(corners)
    if turns.sum() < 0:
        corners, turns = corners[::-1], _turns(corners[::-1])
    _refuse_crossing(corners)
    numbers = {tuple(corner): index + 1 for index, corner in enumerate(np.array(outline, float))}
    for corner, turn in zip(corners, turns, strict=True):
        who = f"outline corner {numbers[tuple(corner)]} at {point_text(corner)}"
        if abs(turn) < LEAST_CORNER:
            raise GeometryError(f"{who} lies on a straight side; leave it out")
        if turn < 0:
            raise GeometryError(
                f"{who}: the plate is hollow there; leave the corner out to fill the hollow, or "
                "describe only the convex part that carries the drivers"
            )
    loop = tuple(range(len(corners)))
    return Body(
        tuple((float(x), float(y), 0.0) for x, y in corners), (Face(loop), Face(loop[::-1]))
    )


def _turns(corners: np.ndarray) -> np.ndarray:
    """Angle by which the outline turns left at each corner, rad."""
    ahead = np.roll(corners, -1, axis=0) - corners
    behind = np.roll(ahead, 1, axis=0)
    return np.arctan2(
        behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0], (behind * ahead).sum(axis=1)
    )


def _refuse_crossing(corners: np.ndarray) -> None:
    """Refuse an outline two of whose sides cross."""
    ends = np.roll(corners, -1, axis=0)

    def left_of(a: np.ndarray, b: np.ndarray, p: np.ndarray) -> float:
        return float((b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]))

    for i in range(len(corners)):
        for j in range(i + 2, len(corners)):
            a, b, p, q = corners[i], ends[i], corners[j], ends[j]
            if left_of(a, b, p) * left_of(a, b, q) < 0 and left_of(p, q, a) * left_of(p, q, b) < 0:
                raise GeometryError(
                    f"the plate's outline crosses itself: its side from ({a[0]:g}, {a[1]:g}) to "
                    f"({b[0]:g}, {b[1]:g}) m and the one from ({p[0]:g}, {p[1]:g}) to "
                    f"({q[0]:g}, {q[1]:g}) m; give the corners in order round the plate"
                )
