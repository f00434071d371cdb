"""Corners as they are given: enough of them, finite numbers, none twice."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from acoustics.cabinet.body import SHORTEST_EDGE
from acoustics.conventions import GeometryError

NEEDED = {2: "three corners", 3: "four corners"}
NUMBERS = {2: "two numbers (x, y)", 3: "three numbers (x, y, z)"}
"""By dimension: what spans a plane figure or a body, and what makes one corner."""


class CornerError(GeometryError):
    """One corner of a list that cannot be there: `corner` is its index."""

    def __init__(self, message: str, corner: int) -> None:
        super().__init__(message)
        self.corner = corner


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
        if not _is_point(corner, dimension):
            given = tuple(corner) if isinstance(corner, Iterable) else corner
            raise CornerError(
                f"{title} {index + 1} of {count} must be {NUMBERS[dimension]} in metres, not "
                f"{given!r}",
                index,
            )
    points = np.array(corners, dtype=float)
    for index in range(1, count):
        apart = np.linalg.norm(points[:index] - points[index], axis=1)
        if apart.min() < SHORTEST_EDGE:
            raise CornerError(
                f"{title}s {int(apart.argmin()) + 1} and {index + 1} of {count} are both at "
                f"{point_text(points[index])}; leave one out, or put right what was meant",
                index,
            )
    return points


def _is_point(corner: object, dimension: int) -> bool:
    """Whether a corner is so many finite numbers."""
    try:
        point = np.asarray(corner)
    except ValueError:  # lists of different length in it
        return False
    # Text, None and the like have other kinds; numpy would turn "1" into a number unasked.
    numbers = point.shape == (dimension,) and point.dtype.kind in "iuf"
    return numbers and bool(np.isfinite(point).all())


def point_text(point: np.ndarray) -> str:
    """A point in words: "(0.1, 0.2) m"."""
    return "(" + ", ".join(f"{x:g}" for x in point) + ") m"
