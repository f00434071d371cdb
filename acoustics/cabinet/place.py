"""Positions on any face, measured as one sees the face from outside."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from acoustics.cabinet.body import Body
from acoustics.cabinet.names import face_named

UPRIGHT = 1e-6
"""Share of the vertical left in a face's plane: with less, the face lies level."""


class FaceFrame(NamedTuple):
    """Coordinates in a face: its centre (m) and unit vectors to the right, upward and outward."""

    centre: np.ndarray
    right: np.ndarray
    up: np.ndarray
    outward: np.ndarray

    def point(self, right: float, up: float) -> tuple[float, float, float]:
        """The point [right, up] of the face, from its centre: (x, y, z), m."""
        x, y, z = self.points(np.asarray(right), np.asarray(up))
        return float(x), float(y), float(z)

    def points(self, right: np.ndarray, up: np.ndarray) -> np.ndarray:
        """`point` for arrays of one shape (…): (…, 3), m."""
        answer: np.ndarray = self.centre + right[..., None] * self.right + up[..., None] * self.up
        return answer


def face_frame(body: Body, face: int) -> FaceFrame:
    """Coordinates in a face as one sees it looking at it from outside.

    Up is up, as far as the face allows. On a level face: up points to the back on the top face
    and to the front on the bottom face, so that right is the listener's right on both. The centre
    is the middle of the face's greatest width and greatest height: what a tape measure finds.

    Args:
        body: the body.
        face: index of the face.
    """
    outward = body.normals[face]
    right, up = right_and_up(outward)
    corners = body.points[list(body.faces[face].corners)]
    across, along = corners @ right, corners @ up
    centre = (
        (across.min() + across.max()) / 2 * right
        + (along.min() + along.max()) / 2 * up
        + body.offsets[face] * outward
    )
    return FaceFrame(centre, right, up, outward)


def right_and_up(outward: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Unit vectors to the right and upward in a face, see `face_frame`, from its outward normal."""
    up = np.array([0.0, 1.0, 0.0]) - outward[1] * outward
    if np.linalg.norm(up) < UPRIGHT:
        backward = np.array([0.0, 0.0, -np.sign(outward[1])])
        up = backward - (backward @ outward) * outward
    up = up / np.linalg.norm(up)
    return np.cross(up, outward), up


def place_on_face(
    body: Body, face_name: str, right: float, up: float
) -> tuple[float, float, float]:
    """The point [right, up] of a face, from the face's centre, looking at it from outside.

    Where an edge has been cut or rounded, place drivers on the body before the cut: its faces
    keep their centres whatever the cut takes.

    Args:
        body: the body.
        face_name: front, back, left, right, top or bottom.
        right: from the face's centre, m; see `face_frame`.
        up: likewise, m.

    Returns:
        (x, y, z), m, in the face's plane (whether the face reaches so far, `face_of` tells).

    Raises:
        GeometryError: no such face.
    """
    return face_frame(body, face_named(body, face_name)).point(right, up)
