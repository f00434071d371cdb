"""How large a body is."""

from __future__ import annotations

import numpy as np

from acoustics.cabinet.body import Body


def face_areas(body: Body) -> np.ndarray:
    """Area of each face, shape (face,), m²."""
    areas = []
    for face, normal in zip(body.faces, body.normals, strict=True):
        loop = body.points[list(face.corners)]
        areas.append(np.cross(loop, np.roll(loop, -1, axis=0)).sum(axis=0) @ normal / 2)
    return np.array(areas)


def outer_volume(body: Body) -> float:
    """Volume inside the faces, m³: a cone from the origin over each of them."""
    return float(face_areas(body) @ body.offsets / 3)
