"""Cut edges off a body with planes, and see that something is left of everything."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from acoustics.cabinet.body import Body
from acoustics.cabinet.half_spaces import Solid, body_of, solid_behind
from acoustics.cabinet.names import edge_named, face_title
from acoustics.conventions import GeometryError

Planes = tuple[np.ndarray, np.ndarray]
"""Outward unit normals, shape (plane, 3), and offsets from the origin, shape (plane,), m."""


def cut_edges(body: Body, cuts: Mapping[str, Planes]) -> Body:
    """Cut edges off a convex body.

    Args:
        body: the body.
        cuts: for the name of each edge, such as "front left", the planes that replace it.

    Returns:
        The body that is left: its old faces in their order, then the cuts'.

    Raises:
        GeometryError: cuts that leave nothing of a face, of an edge that was not cut, or of each
            other; the message names them.
    """
    owners = [name for name, (_, own) in cuts.items() for _ in own]
    solid = solid_behind(*planes_with(body, cuts))
    if solid is None:
        raise GeometryError(f"{_leave(list(cuts))} nothing of the body; cut less")
    _refuse_lost_faces(body, cuts, solid)
    _refuse_lost_facets(body, cuts, solid, owners)
    _refuse_lost_edges(body, cuts, solid)
    titles = [face_title(body, face) for face in range(len(body.faces))]
    return body_of(solid, titles + [f"the cut on {name}" for name in owners])


def planes_with(body: Body, cuts: Mapping[str, Planes]) -> Planes:
    """The planes of a body's faces, then those of the cuts."""
    return (
        np.concatenate([body.normals, *(normals for normals, _ in cuts.values())]),
        np.concatenate([body.offsets, *(offsets for _, offsets in cuts.values())]),
    )


def _refuse_lost_faces(body: Body, cuts: Mapping[str, Planes], solid: Solid) -> None:
    for index, face in enumerate(body.faces):
        if not solid.loops[index]:
            culprits = _reaching(cuts, body.points[list(face.corners)])
            raise GeometryError(
                f"{_leave(culprits)} nothing of {face_title(body, index)}; cut less, or describe "
                "the body by its corners"
            )


def _refuse_lost_facets(
    body: Body, cuts: Mapping[str, Planes], solid: Solid, owners: list[str]
) -> None:
    for index, name in enumerate(owners):
        if not solid.loops[len(body.faces) + index]:
            edge, _ = edge_named(body, name)
            ends = body.points[[edge.start, edge.end]]
            others = {other: planes for other, planes in cuts.items() if other != name}
            raise GeometryError(
                f"{_leave(_reaching(others, ends) or list(others))} nothing of the cut on {name}; "
                f"cut less there, or leave the one on {name} out"
            )


def _refuse_lost_edges(body: Body, cuts: Mapping[str, Planes], solid: Solid) -> None:
    cut = [set(edge_named(body, name)[0].faces) for name in cuts]
    for edge in body.edges:
        one, other = edge.faces
        left = set(solid.loops[one]) & set(solid.loops[other])
        if {one, other} not in cut and len(left) < 2:
            culprits = _reaching(cuts, body.points[[edge.start, edge.end]])
            raise GeometryError(
                f"{_leave(culprits)} nothing of the edge between {face_title(body, one)} and "
                f"{face_title(body, other)}; cut less"
            )


def _reaching(cuts: Mapping[str, Planes], points: np.ndarray) -> list[str]:
    """Cuts that take one of the points away."""
    return [
        name
        for name, (normals, offsets) in cuts.items()
        if (points @ normals.T - offsets).max() > 0
    ]


def _leave(names: list[str]) -> str:
    if len(names) == 1:
        return f"the cut on {names[0]} leaves"
    return f"the cuts on {', '.join(names[:-1])} and {names[-1]} leave"
