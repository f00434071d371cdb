"""Lines and points on the outline of a wall."""

from __future__ import annotations

import numpy as np

from acoustics.structure.plate_points import Point


def chord(corners: np.ndarray, axis: int, at: float) -> tuple[Point, Point] | None:
    """Where the line on which one coordinate is `at` enters and leaves a convex polygon, m.

    Args:
        corners: counter-clockwise, shape (corner, 2), m.
        axis: of that coordinate.
        at: m.

    Returns:
        the two points, by the other coordinate; None if the line misses the polygon.
    """
    ends = np.roll(corners, -1, axis=0)
    low, high = corners[:, axis] - at, ends[:, axis] - at
    cut = (low * high <= 0) & (low != high)
    if np.count_nonzero(cut) < 2 or not corners[:, axis].min() < at < corners[:, axis].max():
        return None
    share = low[cut] / (low[cut] - high[cut])
    other = corners[cut, 1 - axis] + share * (ends[cut, 1 - axis] - corners[cut, 1 - axis])
    first, last = float(other.min()), float(other.max())
    return ((at, first), (at, last)) if axis == 0 else ((first, at), (last, at))


def holds(corners: np.ndarray, point: Point) -> bool:
    """Whether a point lies inside a convex polygon, corners counter-clockwise."""
    return edge_distance(corners, point) > 0


def edge_distance(corners: np.ndarray, point: Point) -> float:
    """How far inside a convex polygon a point lies, m; negative outside."""
    sides = np.roll(corners, -1, axis=0) - corners
    over = np.asarray(point) - corners
    inward = sides[:, 0] * over[:, 1] - sides[:, 1] * over[:, 0]
    return float((inward / np.hypot(sides[:, 0], sides[:, 1])).min())


def distance(point: Point, start: Point, end: Point) -> float:
    """Of a point from a line between two, m."""
    p, a, b = (np.array(each) for each in (point, start, end))
    squared = float((b - a) @ (b - a))
    share = 0.0 if squared == 0 else min(max(float((p - a) @ (b - a)) / squared, 0.0), 1.0)
    return float(np.hypot(*(p - a - share * (b - a))))
