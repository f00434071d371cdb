"""How a convex body shows from one side: its outline, and the edges within it."""

from __future__ import annotations

import math

import numpy as np
from scipy.spatial import ConvexHull

SHARP = math.radians(12.0)
"""Faces that meet at less are facets of one rounded edge: no line is drawn between them."""

FLAT = 1e-6
"""m: what is thinner than this has no inside; it is a plate or, from its edge, a line."""

FACING = 1e-6
"""cosine: a face that looks less than this toward the eye is seen along its own plane."""


def silhouette(points: np.ndarray) -> np.ndarray:
    """Outline of a convex body in one view.

    Args:
        points: its corners in the view, m, shape (corner, 2).

    Returns:
        Those on the outline in their order round it, shape (corner, 2); the two ends of a line if
        the view is along a plate.
    """
    directions = np.linalg.svd(points - points.mean(axis=0), full_matrices=False)[2]
    if np.ptp(points @ directions[1]) < FLAT:
        along = points @ directions[0]
        return points[[int(along.argmin()), int(along.argmax())]]
    outline: np.ndarray = points[ConvexHull(points).vertices]
    return outline


def visible_edges(corners: np.ndarray, toward_eye: np.ndarray) -> np.ndarray:
    """Edges of a convex body that an eye far away sees, those on the outline among them.

    Args:
        corners: of the body, m, shape (corner, 3).
        toward_eye: unit vector, shape (3,).

    Returns:
        Both ends of each edge, m, shape (edge, 2, 3); none for a plate without thickness.
    """
    thinnest = np.linalg.svd(corners - corners.mean(axis=0), full_matrices=False)[2][-1]
    if np.ptp(corners @ thinnest) < FLAT:
        return np.empty((0, 2, 3))
    hull = ConvexHull(corners)
    normals = hull.equations[:, :3]
    seen = normals @ toward_eye > FACING
    ends = [
        corners[np.intersect1d(hull.simplices[one], hull.simplices[other])]
        for one, beside in enumerate(hull.neighbors)
        for other in beside[beside > one]
        if (seen[one] or seen[other]) and normals[one] @ normals[other] < math.cos(SHARP)
    ]
    return np.array(ends).reshape(-1, 2, 3)
