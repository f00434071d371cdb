"""Corners as they are given: enough of them, finite numbers, none twice."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from acoustics.cabinet.body import SHORTEST_EDGE
from acoustics.conventions import GeometryError

NEEDED = {2: "three corners", 3: "four corners"}
NUMBERS = {2: "two numbers (x, y)", 3: "three numbers (x, y, z)"}
"""By dimension: what spans a plane figure or a body, and what makes one corner."""


def checked_corners(
    corners: Sequence[Sequence[float]], *, dimension: int, owner: str, title: str = "corner"
) -> np.ndarray:
    """The corners of a plane outline or of a body as an array.

    Args:
        corners: points, m.
        dimension: 2 for (x, y), 3 for (x, y, z).
        owner: what messages call the whole: "a body".
        title: what they call one of the corners.

    Returns:
        Shape (corner, dimension), m.

    Raises:
        GeometryError: too few to span anything, corners that are not finite numbers, or twice
            there.
    """
    count = len(corners)
    if count <= dimension:
        raise GeometryError(f"{owner} takes at least {NEEDED[dimension]}, not {count}")
    for index, corner in enumerate(corners):
        if len(corner) != dimension or not np.isfinite(corner).all():
            raise GeometryError(
                f"{title} {index + 1} of {count} must be {NUMBERS[dimension]} in metres, not "
                f"{tuple(corner)}"
            )
    points = np.array(corners, dtype=float)
    for index in range(1, count):
        apart = np.linalg.norm(points[:index] - points[index], axis=1)
        if apart.min() < SHORTEST_EDGE:
            raise GeometryError(
                f"{title}s {int(apart.argmin()) + 1} and {index + 1} of {count} are both at "
                f"{point_text(points[index])}; leave one out, or put right what was meant"
            )
    return points


def point_text(point: np.ndarray) -> str:
    """A point in words: "(0.1, 0.2) m"."""
    return "(" + ", ".join(f"{x:g}" for x in point) + ") m"
