"""Chamfers: edges cut off flat, square or askew, the same all along or tapering."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from acoustics.cabinet.body import Body
from acoustics.cabinet.cut_edges import Planes, cut_edges
from acoustics.cabinet.names import edge_named
from acoustics.conventions import GeometryError

FLAT_RATIO = 1e-6
"""Relative difference of setbacks up to which a tapering cut counts as flat."""


@dataclass(frozen=True)
class EdgeCut:
    """A flat cut along an edge.

    `edge` names the two faces that meet there: "front left". `setbacks` say how far the cut
    reaches on each of them, in the order of the name, measured in the face square to the edge, m.
    Equal setbacks cut at 45° on a square edge.

    A tapering cut has other setbacks at the edge's other end: `setbacks` then hold at its bottom
    end, `far_setbacks` at its top end; on an edge that lies level, at its left and its right end;
    on one that runs backward, at its front and its back end. (0, 0) runs out in the corner. A
    flat cut keeps the ratio of its two setbacks.
    """

    edge: str
    setbacks: tuple[float, float]
    far_setbacks: tuple[float, float] | None = None


def chamfered(body: Body, cuts: Sequence[EdgeCut]) -> Body:
    """Cut edges of a body off flat.

    Args:
        body: a box or any other convex body with named faces.
        cuts: one for each edge to cut.

    Returns:
        The body that is left: its old faces in their order, then the cuts' in theirs.

    Raises:
        GeometryError: an edge that is not there or cut twice; setbacks that are negative, not
            finite, nothing, or not flat; cuts that leave nothing of a face or an edge.

    Example:
        >>> import acoustics as ac
        >>> from acoustics.cabinet import EdgeCut
        >>> box = ac.Body.box(width=0.22, height=0.38, depth=0.30)
        >>> len(ac.chamfered(box, [EdgeCut("front left", (0.025, 0.025))]).faces)
        7
    """
    planes: dict[str, Planes] = {}
    faces_cut: dict[frozenset[int], str] = {}
    for cut in cuts:
        _, faces = edge_named(body, cut.edge)
        twin = faces_cut.setdefault(frozenset(faces), cut.edge)
        if cut.edge in planes or twin != cut.edge:
            raise GeometryError(f"edge {cut.edge}: cut twice; give each edge one cut")
        planes[cut.edge] = _plane(body, cut)
    return cut_edges(body, planes) if planes else body


def _plane(body: Body, cut: EdgeCut) -> Planes:
    """The plane of a cut."""
    near, far = _setbacks(cut)
    edge, faces = edge_named(body, cut.edge)
    start, end = body.points[edge.start], body.points[edge.end]
    if _is_reversed(end - start):
        start, end = end, start
    one, other = (body.in_tangent(edge, edge.faces.index(face)) for face in faces)
    near_one, near_other = start + near[0] * one, start + near[1] * other
    far_one, far_other = end + far[0] * one, end + far[1] * other
    across = near_one - near_other if near[0] >= far[0] else far_one - far_other
    normal = np.cross(far_one - near_one, across)
    normal = normal / np.linalg.norm(normal)
    if normal @ (one + other) > 0:
        normal = -normal
    return normal[None, :], np.array([normal @ near_one])


def _is_reversed(along: np.ndarray) -> bool:
    """Whether an edge runs down, to the left or forward, whichever it does most."""
    x, y, z = along
    size = max(abs(x), abs(y), abs(z))
    if abs(y) == size:
        return bool(y < 0)
    return bool(x < 0) if abs(x) == size else bool(z > 0)


def _setbacks(cut: EdgeCut) -> tuple[tuple[float, float], tuple[float, float]]:
    """Setbacks at both ends, checked."""
    near, far = cut.setbacks, cut.far_setbacks if cut.far_setbacks is not None else cut.setbacks
    for setbacks in (near, far):
        given = " and ".join(f"{1e3 * s:g} mm" for s in setbacks)
        if len(setbacks) != 2 or not all(math.isfinite(s) and s >= 0 for s in setbacks):
            raise GeometryError(
                f"edge {cut.edge}: a cut takes a setback on each of its two faces, none negative, "
                f"not {given}"
            )
        if (setbacks[0] == 0) != (setbacks[1] == 0):
            raise GeometryError(
                f"edge {cut.edge}: setbacks of {given} cut nothing off; make both positive, or "
                "both 0 where a tapering cut runs out"
            )
    if near[0] == far[0] == 0:
        raise GeometryError(f"edge {cut.edge}: setbacks of 0 cut nothing off; leave the cut out")
    if abs(near[0] * far[1] - near[1] * far[0]) > FLAT_RATIO * max(near) * max(far):
        flat = far[0] * near[1] / near[0]
        raise GeometryError(
            f"edge {cut.edge}: the cut would be twisted, since the ratio of its setbacks changes "
            f"along the edge; with {1e3 * near[0]:g} and {1e3 * near[1]:g} mm at one end and "
            f"{1e3 * far[0]:g} mm at the other, a flat cut has {1e3 * flat:.4g} mm there, not "
            f"{1e3 * far[1]:g} mm"
        )
    return near, far
