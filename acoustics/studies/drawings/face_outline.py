"""The outline of a flat face, before its edges are cut or rounded and after."""

from __future__ import annotations

import numpy as np

from acoustics.cabinet import Body, RoundedBody, edge_named
from acoustics.cabinet.place import FaceFrame
from acoustics.case.design.faces import Faces

STEPS = 90
"""chords of an arc: at a radius of 100 mm and a right angle they are 0.004 mm off it at most"""


def seen_in(frame: FaceFrame, points: np.ndarray) -> np.ndarray:
    """Points (…, 3) as [right, up] from a face's centre, shape (…, 2), m."""
    away = points - frame.centre
    return np.stack([away @ frame.right, away @ frame.up], axis=-1)


def whole_outline(faces: Faces, face: int) -> np.ndarray:
    """Corners of a face before edges are cut, or those of a chamfer, shape (corner, 3), m."""
    body = faces.whole if face < len(faces.whole.faces) else faces.cut
    return body.points[list(body.faces[face].corners)]


def flat_outline(faces: Faces, body: Body | RoundedBody, face: int) -> np.ndarray:
    """What cut and rounded edges leave flat of a face, shape (point, 3), m.

    Where the edge between two other faces is rounded, this face's corner is an arc: the section of
    a cylinder, drawn with `STEPS` chords. Its ends are where it touches the sides of the face.
    """
    flat = faces.flat
    loop = flat.faces[face].corners
    if isinstance(body, Body):
        return flat.points[list(loop)]
    owner = {
        ends: edge.faces[1] if edge.faces[0] == face else edge.faces[0]
        for edge in flat.edges
        if face in edge.faces
        for ends in ((edge.start, edge.end), (edge.end, edge.start))
    }
    points: list[np.ndarray] = []
    for start, end in zip(loop, loop[1:] + loop[:1], strict=True):
        points.append(flat.points[[start]])
        number = owner[start, end] - len(body.base.faces)
        if number >= 0:
            points.append(_arc(body, number, face, flat.points[start], flat.points[end]))
    return np.concatenate(points)


def _arc(
    body: RoundedBody, number: int, face: int, start: np.ndarray, end: np.ndarray
) -> np.ndarray:
    """Points between the ends of an arc, shape (point, 3); none where its edge is the face's own.

    Seen along the rounded edge the arc is one of a circle, and so it is in the affine coordinates
    of its two tangents in any plane across the edge: from the corner, 1 at the end of each.
    """
    edge, sides = edge_named(body.base, body.rounds[number].edge)
    corners = [each for each in (edge.start, edge.end) if each in body.base.faces[face].corners]
    if face in sides or len(corners) != 1:
        return np.empty((0, 3))
    corner = body.base.points[corners[0]]
    one, other = (body.base.normals[side] for side in sides)
    turn = float(np.arctan2(np.linalg.norm(np.cross(one, other)), one @ other))
    angles = turn * np.arange(1, STEPS) / STEPS
    # In units of the tangents' length: corner at 0, ends at 1 along each, the circle between.
    radius = 1 / np.tan(turn / 2)
    along = 1 - radius * np.sin(angles)
    beside = radius * (1 - np.cos(angles))
    tilt = np.pi - turn
    second = beside / np.sin(tilt)
    first = along - second * np.cos(tilt)
    return corner + first[:, None] * (start - corner) + second[:, None] * (end - corner)
