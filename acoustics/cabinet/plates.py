"""Open baffles: plates with and without thickness, rectangular or of any convex outline."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from acoustics.cabinet.body import SHORTEST_EDGE, Body, Face
from acoustics.cabinet.corner_list import CornerError, checked_corners, point_text
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

    Example:
        >>> import acoustics as ac
        >>> baffle = ac.plate(width=0.4, height=1.0, thickness=0.018)
    """
    if thickness != 0:
        return Body.box(width=width, height=height, depth=thickness)
    for name, value in (("width", width), ("height", height)):
        if not (math.isfinite(value) and value > 0):
            raise GeometryError(f"plate: {name} must be positive, not {value:g} m")
    right, top = width / 2, height / 2
    return thin_plate([(-right, -top), (right, -top), (right, top), (-right, top)])


def thin_plate(outline: Sequence[Sequence[float]]) -> Body:
    """Make a plate without thickness in the plane z = 0: face 0 looks to +z, face 1 to -z.

    Its edges have the exterior angle 2π.

    Args:
        outline: corners (x, y), m, in order round the plate, either way round.

    Raises:
        GeometryError: fewer than three corners, corners that are not two finite numbers or twice
            there or all on one line, an outline that crosses itself, is hollow, or runs straight
            through a corner (then a CornerError, which says which).
    """
    corners = _round_the_plate(outline)
    loop = tuple(range(len(corners)))
    return Body(
        tuple((float(x), float(y), 0.0) for x, y in corners), (Face(loop), Face(loop[::-1]))
    )


def outlined_plate(outline: Sequence[Sequence[float]], thickness: float = 0.0) -> Body:
    """Make a plate of any convex outline, its front face in the plane z = 0.

    Args:
        outline: corners (x, y), m, in order round the plate, either way round.
        thickness: m; 0 makes a `thin_plate`, which needs no sides.

    Returns:
        Front face first, then the back, then the sides in the order of the outline.

    Raises:
        GeometryError: a thickness that is negative or not finite; otherwise as `thin_plate`.
    """
    if thickness == 0:
        return thin_plate(outline)
    if not (math.isfinite(thickness) and thickness > 0):
        raise GeometryError(f"plate: the thickness must be 0 or positive, not {thickness:g} m")
    corners = _round_the_plate(outline)
    count = len(corners)
    loop = tuple(range(count))
    sides = tuple(
        Face((start, start + count, end + count, end))
        for start, end in zip(loop, loop[1:] + loop[:1], strict=True)
    )
    back = Face(tuple(corner + count for corner in loop[::-1]))
    return Body(
        tuple((float(x), float(y), z) for z in (0.0, -thickness) for x, y in corners),
        (Face(loop), back, *sides),
    )


def _round_the_plate(outline: Sequence[Sequence[float]]) -> np.ndarray:
    """The corners of a convex outline, checked, counter-clockwise, shape (corner, 2), m."""
    corners = checked_corners(
        outline, dimension=2, owner="a plate's outline", title="outline corner"
    )
    _refuse_line(corners)
    turns = _turns(corners)
    if turns.sum() < 0:
        corners, turns = corners[::-1], _turns(corners[::-1])
    _refuse_crossing(corners)
    numbers = {tuple(corner): index + 1 for index, corner in enumerate(np.array(outline, float))}
    for corner, turn in zip(corners, turns, strict=True):
        number = numbers[tuple(corner)]
        who = f"outline corner {number} at {point_text(corner)}"
        if abs(turn) < LEAST_CORNER:
            raise CornerError(f"{who} lies on a straight side; leave it out", number - 1)
        if turn < 0:
            raise CornerError(
                f"{who}: the plate is hollow there; leave the corner out to fill the hollow, or "
                "describe only the convex part that carries the drivers",
                number - 1,
            )
    return corners


def _refuse_line(corners: np.ndarray) -> None:
    """Refuse corners on one line, which have no surface between them."""
    middle = corners.mean(axis=0)
    across = np.linalg.svd(corners - middle)[2][-1]
    if np.ptp(corners @ across) < SHORTEST_EDGE:
        raise GeometryError(
            f"all {len(corners)} corners of the plate's outline lie on one line, so the plate has "
            "no surface; check them for slips"
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
