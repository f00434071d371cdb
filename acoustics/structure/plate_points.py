"""Points and weights to integrate over polygons, lines, discs and circles."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.polynomial.legendre import leggauss
from scipy.special import roots_jacobi

Point = tuple[float, float]


class Points(NamedTuple):
    """Where to take a function, x and y of shape (point,) in m, and its weights (point,)."""

    x: np.ndarray
    y: np.ndarray
    weight: np.ndarray


def rectangle_points(low: Point, high: Point, counts: tuple[int, int]) -> Points:
    """Gauss points over a rectangle between two corners; weights in m²."""
    (x, wx), (y, wy) = (_gauss(low[axis], high[axis], counts[axis]) for axis in (0, 1))
    across, up = np.meshgrid(x, y, indexing="ij")
    return Points(across.ravel(), up.ravel(), np.outer(wx, wy).ravel())


def polygon_points(corners: np.ndarray, count: int) -> Points:
    """Gauss points over a convex polygon, on triangles from its middle; weights in m².

    On each triangle a square of Gauss–Legendre and Gauss–Jacobi points is collapsed into it
    (Stroud, Approximate Calculation of Multiple Integrals, 1971, ch. 2, from memory): exact for
    polynomials up to the degree 2·count − 1.

    Args:
        corners: counter-clockwise, shape (corner, 2), m.
        count: points along each side of the square.
    """
    u, wu = roots_jacobi(count, 1, 0)
    v, wv = leggauss(count)
    out, along = np.meshgrid((1 - u) / 2, (1 + v) / 2, indexing="ij")
    weight = np.outer(wu / 4, wv / 2).ravel()
    middle = corners.mean(axis=0)
    starts, ends = corners - middle, np.roll(corners, -1, axis=0) - middle
    doubled = starts[:, 0] * ends[:, 1] - starts[:, 1] * ends[:, 0]
    # `out` runs from the side of the polygon to its middle, where the square's side collapses.
    spread = starts[:, None] + along.ravel()[:, None] * (ends - starts)[:, None]
    places = middle + out.ravel()[:, None] * spread
    return Points(
        places[..., 0].ravel(), places[..., 1].ravel(), (doubled[:, None] * weight).ravel()
    )


def line_points(start: Point | np.ndarray, end: Point | np.ndarray, count: int) -> Points:
    """Gauss points on a line; weights in m."""
    share, weight = _gauss(0.0, 1.0, count)
    (x0, y0), (x1, y1) = start, end
    length = float(np.hypot(x1 - x0, y1 - y0))
    return Points(x0 + share * (x1 - x0), y0 + share * (y1 - y0), weight * length)


def disc_points(centre: Point, radius: float, degree: int) -> Points:
    """Points over a disc that are exact for polynomials up to a degree; weights in m²."""
    r, wr = _gauss(0.0, radius, degree // 2 + 1)
    angle = 2 * np.pi * np.arange(degree + 1) / (degree + 1)
    return Points(
        (centre[0] + np.outer(r, np.cos(angle))).ravel(),
        (centre[1] + np.outer(r, np.sin(angle))).ravel(),
        np.repeat(wr * r * 2 * np.pi / (degree + 1), degree + 1),
    )


def circle_points(centre: Point, radius: float, count: int) -> Points:
    """Even points on a circle; weights are shares that add up to 1."""
    angle = 2 * np.pi * (np.arange(count) + 0.5) / count
    return Points(
        centre[0] + radius * np.cos(angle),
        centre[1] + radius * np.sin(angle),
        np.full(count, 1.0 / count),
    )


def joined(parts: Sequence[Points]) -> Points:
    """All points of some sets."""
    return Points(*(np.concatenate([part[k] for part in parts]) for k in range(3)))


def within(points: Points, corners: np.ndarray) -> Points:
    """Those points that lie in a convex polygon, corners counter-clockwise."""
    sides = np.roll(corners, -1, axis=0) - corners
    over = np.stack([points.x, points.y], axis=-1)[:, None] - corners
    inside = (sides[:, 0] * over[..., 1] - sides[:, 1] * over[..., 0] >= 0).all(axis=1)
    return Points(*(part[inside] for part in points))


def _gauss(low: float, high: float, count: int) -> tuple[np.ndarray, np.ndarray]:
    x, weight = leggauss(count)
    return low + (high - low) * (1 + x) / 2, weight * (high - low) / 2
