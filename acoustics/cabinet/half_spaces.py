"""A convex body as what lies behind a set of planes."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from scipy.optimize import linprog
from scipy.spatial import ConvexHull, HalfspaceIntersection, QhullError

from acoustics.cabinet.body import PLANE_TOLERANCE, SHORTEST_EDGE, Body, Face
from acoustics.conventions import GeometryError

SAME_CORNER = 1e-8
"""m: rounding errors of the intersection stay below this."""

LEAST_INSIDE = 1e-6
"""m: radius of the largest sphere inside; the linear program is good to a tenth of it."""


class Solid(NamedTuple):
    """Corners (corner, 3), m, and for each plane the loop of its corners: () if it bounds nothing.

    Loops run counter-clockwise seen from outside.
    """

    points: np.ndarray
    loops: tuple[tuple[int, ...], ...]


def body_from_planes(normals: Sequence[Sequence[float]], offsets: Sequence[float]) -> Body:
    """Make the convex polyhedron of all points p with normal·p ≤ offset for every plane.

    Args:
        normals: outward normals, shape (plane, 3), of any length; the first is the front face's.
        offsets: normal·p on each plane, shape (plane,); m for normals of length 1.

    Returns:
        The body, its faces in the order of the planes; planes that bound nothing are left out.

    Raises:
        GeometryError: normals or offsets that are not finite numbers, planes that leave no inside
            or leave it open, a front plane that bounds nothing, or an edge too short to mean it.
    """
    ways = np.array(normals, dtype=float)
    reach = np.array(offsets, dtype=float)
    if ways.ndim != 2 or ways.shape[1] != 3 or reach.shape != ways.shape[:1] or len(ways) < 4:
        raise GeometryError("a body takes at least four planes, each a normal (x, y, z), an offset")
    lengths = np.linalg.norm(ways, axis=1)
    if not (np.isfinite(ways).all() and np.isfinite(reach).all() and lengths.min() > 0):
        raise GeometryError("planes take finite normals that are not (0, 0, 0), and finite offsets")
    ways, reach = ways / lengths[:, None], reach / lengths
    _refuse_open(ways)
    solid = solid_behind(ways, reach)
    if solid is None:
        raise GeometryError("the planes leave no inside: no point is behind all of them")
    if not solid.loops[0]:
        raise GeometryError("the front plane (the first) bounds nothing; bring it nearer")
    return body_of(solid, [f"plane {index + 1}" for index in range(len(ways))])


def solid_behind(normals: np.ndarray, offsets: np.ndarray) -> Solid | None:
    """What lies behind planes that enclose it from all sides, or None if nothing does.

    The corners come from qhull's dual hull about the centre of the largest sphere inside (Barber,
    Dobkin & Huhdanpaa, ACM Trans. Math. Softw. 22, 1996, 469), each then solved from its planes.

    Args:
        normals: outward unit normals, shape (plane, 3).
        offsets: distances from the origin, shape (plane,), m.
    """
    normals, offsets = np.asarray(normals, dtype=float), np.asarray(offsets, dtype=float)
    return _solid_behind(normals.tobytes(), offsets.tobytes())


# Checks of a case ask for the same few regions again and again.
@lru_cache(maxsize=64)
def _solid_behind(normal_bytes: bytes, offset_bytes: bytes) -> Solid | None:
    normals = np.frombuffer(normal_bytes).reshape(-1, 3)
    offsets = np.frombuffer(offset_bytes)
    rows = np.column_stack([normals, np.ones(len(normals))])
    bounds = [(None, None)] * 3 + [(0.0, None)]
    sphere = linprog([0.0, 0.0, 0.0, -1.0], A_ub=rows, b_ub=offsets, bounds=bounds)
    if sphere.status != 0 or sphere.x[3] < LEAST_INSIDE:
        return None
    planes = np.column_stack([normals, -offsets])
    rough = HalfspaceIntersection(planes, sphere.x[:3]).intersections
    points: list[np.ndarray] = []
    for corner in rough:
        meeting = np.abs(normals @ corner - offsets) < SAME_CORNER
        point = np.linalg.lstsq(normals[meeting], offsets[meeting], rcond=None)[0]
        if not points or np.linalg.norm(np.array(points) - point, axis=1).min() > SAME_CORNER:
            points.append(point)
    corners = np.array(points)
    corners.setflags(write=False)
    touching = np.abs(corners @ normals.T - offsets) < PLANE_TOLERANCE
    loops = tuple(
        _around(corners, np.flatnonzero(touching[:, plane]), normals[plane])
        for plane in range(len(normals))
    )
    return Solid(corners, _without_twins(loops))


def body_of(solid: Solid, titles: Sequence[str]) -> Body:
    """The body of a solid; titles say what to call each plane in messages.

    Raises:
        GeometryError: an edge too short to be meant.
    """
    points = solid.points
    for plane, loop in enumerate(solid.loops):
        for start, end in zip(loop, loop[1:] + loop[:1], strict=True):
            length = float(np.linalg.norm(points[start] - points[end]))
            if length < SHORTEST_EDGE:
                around = [
                    titles[other]
                    for other, corners in enumerate(solid.loops)
                    if other != plane and (start in corners or end in corners)
                ]
                raise GeometryError(
                    f"{titles[plane]} gets an edge of only {1e3 * length:.1g} mm where it meets "
                    f"{', '.join(around)}; move one of them by a tenth of a millimetre"
                )
    used = sorted({corner for loop in solid.loops for corner in loop})
    number = {corner: index for index, corner in enumerate(used)}
    return Body(
        tuple((float(x), float(y), float(z)) for x, y, z in points[used]),
        tuple(Face(tuple(number[corner] for corner in loop)) for loop in solid.loops if loop),
    )


def _refuse_open(normals: np.ndarray) -> None:
    """Planes enclose a finite body only if their normals surround the origin."""
    try:
        hull = ConvexHull(normals)
    except QhullError as error:
        raise GeometryError(
            "the planes leave the body open: their normals all lie in one plane; add planes that "
            "close it"
        ) from error
    side = int(hull.equations[:, 3].argmax())
    if hull.equations[side, 3] > -1e-9:
        way = ", ".join(f"{x:.2g}" for x in hull.equations[side, :3] + 0.0)
        raise GeometryError(
            f"the planes leave the body open toward ({way}); add a plane that looks that way"
        )


def _around(points: np.ndarray, members: np.ndarray, normal: np.ndarray) -> tuple[int, ...]:
    """Corners of a plane in order round it, counter-clockwise seen from outside."""
    if len(members) < 3:
        return ()
    spokes = points[members] - points[members].mean(axis=0)
    right = spokes[0] / np.linalg.norm(spokes[0])
    angles = np.arctan2(spokes @ np.cross(normal, right), spokes @ right)
    return tuple(int(corner) for corner in members[np.argsort(angles)])


def _without_twins(loops: tuple[tuple[int, ...], ...]) -> tuple[tuple[int, ...], ...]:
    """One and the same plane given twice bounds once."""
    seen: set[frozenset[int]] = set()
    kept = []
    for loop in loops:
        kept.append(loop if frozenset(loop) not in seen else ())
        seen.add(frozenset(loop))
    return tuple(kept)
