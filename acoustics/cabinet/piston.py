"""Pistons: where a driver moves air on the surface of a body."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from acoustics.cabinet.body import PLANE_TOLERANCE, Body
from acoustics.cabinet.profile import FLAT, Profile
from acoustics.conventions import GeometryError

LEAST_MARGIN = 1e-4
"""m: a rim nearer to an edge than this cannot be told from one that touches it."""


@dataclass(frozen=True)
class Piston:
    """A circular piston on the face in which its centre lies; lengths in metres.

    On a plate without thickness its centre lies on both faces: on the front unless `face` (an
    index) says otherwise.

    Example:
        >>> import acoustics as ac
        >>> tweeter = ac.Piston(radius=0.0127, centre=(0.0, 0.10, 0.0))
    """

    radius: float
    centre: tuple[float, float, float]
    profile: Profile = FLAT
    face: int | None = None

    def __post_init__(self) -> None:
        if not (math.isfinite(self.radius) and self.radius > 0):
            raise GeometryError(f"Piston: radius must be positive, not {self.radius:g} m")
        if len(self.centre) != 3 or not all(math.isfinite(x) for x in self.centre):
            raise GeometryError(f"Piston: centre must be three numbers, not {self.centre!r}")


def face_of(body: Body, piston: Piston) -> int:
    """Index of the face that carries a piston.

    Raises:
        GeometryError: the centre lies on no face, or the rim touches or crosses an edge.
    """
    centre = np.asarray(piston.centre, dtype=float)
    heights = body.heights_above_faces(centre[None, :])[0]
    on = np.flatnonzero(heights == 0.0)
    if heights.max() > 0 or on.size == 0:
        raise GeometryError(
            f"the piston centred at {piston.centre} m does not lie on a face of the body"
        )
    face = int(on[0]) if piston.face is None else piston.face
    if face not in on:
        raise GeometryError(
            f"the piston centred at {piston.centre} m does not lie on face {face} of the body"
        )
    margin = edge_distances(body, face, centre).min() - piston.radius
    if margin < LEAST_MARGIN:
        raise GeometryError(
            f"the piston of radius {piston.radius} m centred at {piston.centre} m touches or "
            f"crosses an edge of its face (margin {margin * 1e3:.2f} mm); move it inward"
        )
    return face


def on_face(body: Body, face: int, points: np.ndarray) -> np.ndarray:
    """Whether points lie on a face, its edges included, shape (point,).

    Args:
        body: the body.
        face: index of the face.
        points: shape (point, 3), m.
    """
    answer: np.ndarray = body.heights_above_faces(points)[:, face] == 0.0
    for edge in body.edges:
        if face in edge.faces:
            inward = body.in_tangent(edge, edge.faces.index(face))
            answer &= (points - body.points[edge.start]) @ inward >= -PLANE_TOLERANCE
    return answer


def edge_distances(body: Body, face: int, point: np.ndarray) -> np.ndarray:
    """Distance of points in a face's plane from the lines of the face's edges, inward positive.

    Args:
        body: the body.
        face: index of the face.
        point: shape (…, 3), m.

    Returns:
        shape (…, edge of the face), m.
    """
    return np.stack(
        [
            (point - body.points[edge.start]) @ body.in_tangent(edge, edge.faces.index(face))
            for edge in body.edges
            if face in edge.faces
        ],
        axis=-1,
    )
