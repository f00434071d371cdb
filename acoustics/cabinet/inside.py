"""The inside of a body with walls: its volume, and how deep it is behind a face."""

from __future__ import annotations

import numpy as np
from scipy.spatial import ConvexHull

from acoustics.cabinet.body import PLANE_TOLERANCE, Body
from acoustics.cabinet.half_spaces import solid_behind
from acoustics.cabinet.rounds import RoundedBody


def walled(body: Body | RoundedBody) -> Body:
    """The body whose faces carry the walls.

    One facet stands for each rounded edge, with as much cut off as the arc. Moved inward it bounds
    nothing once the wall is as thick as the radius: a round cut into a thick wall leaves the
    inside square.
    """
    if isinstance(body, Body):
        return body
    return body.with_facets([1] * len(body.rounds))


def inner_volume(body: Body, thickness: float | np.ndarray) -> float:
    """Volume behind the walls, m³: every face moved inward by the thickness of its wall.

    Args:
        body: the outside, not a plate without thickness.
        thickness: of all walls, or of each, shape (face,), m.

    Returns:
        the volume; 0 where the walls leave none.
    """
    solid = solid_behind(body.normals, body.offsets - thickness)
    return 0.0 if solid is None else float(ConvexHull(solid.points).volume)


def inner_depths(
    body: Body, thickness: float | np.ndarray, face: int, points: np.ndarray
) -> np.ndarray:
    """How far one can go straight in from points of a face before meeting a wall.

    Args:
        body: the outside.
        thickness: of all walls, or of each, shape (face,), m.
        face: index of the face.
        points: on the face, shape (point, 3), m.

    Returns:
        shape (point,), m, from the outer side of the face; NaN for a point beside which a wall
        stands.
    """
    inward = -body.normals[face]
    reach = body.offsets - thickness
    own = float(body.offsets[face] - reach[face])
    others = np.delete(np.arange(len(body.faces)), face)
    heights = (points + own * inward) @ body.normals[others].T - reach[others]
    slopes = body.normals[others] @ inward
    ahead = slopes > PLANE_TOLERANCE
    depths = own + (-heights[:, ahead] / slopes[ahead]).min(axis=1)
    answer: np.ndarray = np.where(heights.max(axis=1) > PLANE_TOLERANCE, np.nan, depths)
    return answer
