"""A convex body from its corners alone."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.spatial import ConvexHull, QhullError

from acoustics.cabinet.body import Body, Face
from acoustics.cabinet.corner_list import CornerError, checked_corners, point_text
from acoustics.cabinet.settle import settled
from acoustics.conventions import GeometryError

FRONT = (0.0, 0.0, 1.0)
"""The front face looks this way, or most nearly so."""

FLATNESS = 1e-4
"""m: corners this near to a face's plane are meant to lie in it (rounded to tenths of a mm)."""

FLAT_TURN = 2e-2
"""rad: and only where the face would otherwise fold by less than this (about a degree)."""


def body_from_corners(corners: Sequence[Sequence[float]]) -> Body:
    """Make the convex polyhedron that has these corners; its front face looks most toward +z.

    The hull is qhull's (Barber, Dobkin & Huhdanpaa, ACM Trans. Math. Softw. 22, 1996, 469).
    Corners within FLATNESS of a common plane make one flat face: they are moved into it by the
    least way, and faces that were exact stay so where they can.

    Args:
        corners: points (x, y, z), m, in any order.

    Raises:
        GeometryError: fewer than four corners, corners that are not three finite numbers, twice
            there, all in one plane, or not at a corner of the convex body (the shape is hollow
            there, or the point lies on a face or an edge).

    Example:
        >>> import acoustics as ac
        >>> foot = [(-0.2, -0.2, 0.0), (0.2, -0.2, 0.0), (0.0, -0.2, -0.3)]
        >>> len(ac.body_from_corners([*foot, (0.0, 0.4, -0.1)]).faces)
        4
    """
    points = _checked(corners)
    try:
        hull = ConvexHull(points)
    except QhullError as error:
        raise GeometryError("the corners span no body; check them for slips") from error
    groups = _planes(points, hull)
    _refuse_idle_corners(points, hull, groups)
    loops = [_loop(points, hull, group) for group in groups]
    points = settled(points, loops)
    looks = [float(hull.equations[group[0], :3] @ FRONT) for group in groups]
    order = sorted(range(len(loops)), key=lambda face: -round(looks[face], 9))
    return Body(
        tuple((float(x), float(y), float(z)) for x, y, z in points),
        tuple(Face(loops[face]) for face in order),
    )


def _checked(corners: Sequence[Sequence[float]]) -> np.ndarray:
    """The corners as an array, if they can span a body at all."""
    points = checked_corners(corners, dimension=3, owner="a body")
    directions = np.linalg.svd(points - points.mean(axis=0))[2]
    thickness = float(np.ptp(points @ directions[-1]))
    if thickness < FLATNESS:
        raise GeometryError(
            f"all {len(points)} corners lie in one plane (to {1e3 * thickness:.2g} mm), so the "
            "body has no inside; give it a thickness, or describe an open baffle as a thin plate"
        )
    return points


def _planes(points: np.ndarray, hull: ConvexHull) -> list[list[int]]:
    """Triangles of the hull by the plane they are meant to lie in, the largest first in each."""
    a, b, c = (points[hull.simplices[:, k]] for k in range(3))
    sizes = np.linalg.norm(np.cross(b - a, c - a), axis=1)
    longest = np.max([np.linalg.norm(p - q, axis=1) for p, q in ((a, b), (b, c), (c, a))], axis=0)
    # The normal of a sliver says nothing.
    sliver = sizes < FLATNESS * longest
    taken = np.zeros(len(sizes), dtype=bool)
    groups = []
    for seed in np.argsort(-sizes):
        if taken[seed]:
            continue
        normal, offset = hull.equations[seed, :3], hull.equations[seed, 3]
        near = np.abs(points[hull.simplices] @ normal + offset).max(axis=1) <= FLATNESS
        turn = np.linalg.norm(np.cross(hull.equations[:, :3], normal), axis=1)
        alike = (turn < FLAT_TURN) & (hull.equations[:, :3] @ normal > 0)
        fits = near & (alike | sliver) & ~taken
        group, waiting = [], [int(seed)]
        taken[seed] = True
        while waiting:
            triangle = waiting.pop()
            group.append(triangle)
            for beside in hull.neighbors[triangle]:
                if fits[beside] and not taken[beside]:
                    taken[beside] = True
                    waiting.append(int(beside))
        groups.append(group)
    return groups


def _refuse_idle_corners(points: np.ndarray, hull: ConvexHull, groups: list[list[int]]) -> None:
    """Refuse a corner in which fewer than three faces meet: it is none."""
    meeting = np.zeros(len(points), dtype=int)
    for group in groups:
        meeting[np.unique(hull.simplices[group])] += 1
    depths = -(points @ hull.equations[:, :3].T + hull.equations[:, 3]).max(axis=1)
    idle = np.flatnonzero(meeting < 3)
    if idle.size == 0:
        return
    worst = int(idle[depths[idle].argmax()])
    who = f"corner {worst + 1} of {len(points)}, at {point_text(points[worst])},"
    if depths[worst] > FLATNESS:
        raise CornerError(
            f"{who} lies {1e3 * depths[worst]:.3g} mm inside the convex body round all corners: "
            "the shape is hollow there. Leave the corner out to fill the hollow, or describe "
            "only the convex part that carries the drivers",
            worst,
        )
    planes = hull.equations[[group[0] for group in groups]]
    near = np.abs(planes[:, :3] @ points[worst] + planes[:, 3]) <= FLATNESS
    if near.sum() < 2:
        raise CornerError(
            f"{who} lies inside a flat face (to {1e3 * FLATNESS:g} mm): the face is hollow there, "
            "or the corner is one too many. Leave it out, or describe only the convex part that "
            "carries the drivers",
            worst,
        )
    raise CornerError(
        f"{who} lies on an edge between other corners (to {1e3 * FLATNESS:g} mm), so no three "
        "faces meet there; leave it out",
        worst,
    )


def _loop(points: np.ndarray, hull: ConvexHull, group: list[int]) -> tuple[int, ...]:
    """Corners round one plane's triangles, counter-clockwise seen from outside."""
    steps: set[tuple[int, int]] = set()
    inside = points.mean(axis=0)
    for triangle in group:
        a, b, c = (int(corner) for corner in hull.simplices[triangle])
        if np.cross(points[b] - points[a], points[c] - points[a]) @ (points[a] - inside) < 0:
            b, c = c, b
        for start, end in ((a, b), (b, c), (c, a)):
            if (end, start) in steps:
                steps.remove((end, start))
            else:
                steps.add((start, end))
    after = dict(steps)
    loop = [min(after)]
    while after[loop[-1]] != loop[0]:
        loop.append(after[loop[-1]])
    return tuple(loop)
