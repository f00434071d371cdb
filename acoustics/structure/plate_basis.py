"""Smooth shapes that a plate on a convex polygon can take, zero along its edges."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.linalg import qr, solve_triangular
from scipy.special import eval_jacobi

from acoustics.structure.plate_points import Points, polygon_points, rectangle_points

SQUARE = 1e-9
"""m: a polygon whose corners are so near to those of its bounding rectangle is one."""

W, X, Y, XX, XY, YY = range(6)
"""Rows of a jet: a value and its derivatives."""

MOST_POINTS = 26
"""Points each way on a triangle: exact for what four edges and usual degrees multiply to."""


@dataclass(frozen=True)
class PlateBasis:
    """Polynomials times the product of the distances from all edges, orthonormal over the polygon.

    The product is 0 on every edge, so the deflection is; squared (`clamped`) its slope is, too
    (the pb-2 Ritz method of Liew & Wang, Comput. Struct. 49, 1993, 941, from memory). On a
    rectangle the polynomials are Jacobi's of the weight that makes them orthogonal there; on any
    other polygon Legendre's of its bounding rectangle, made orthonormal by a QR decomposition.

    `corners` counter-clockwise, shape (corner, 2), m. `counts` is the number of polynomials along
    x and y; on polygons that are no rectangles their total degree is cut, as in Pascal's triangle.
    """

    corners: np.ndarray
    counts: tuple[int, int]
    clamped: bool = False

    @cached_property
    def low(self) -> np.ndarray:
        """Lower left corner of the bounding rectangle, shape (2,), m."""
        lowest: np.ndarray = self.corners.min(axis=0)
        return lowest

    @cached_property
    def size(self) -> np.ndarray:
        """Width and height of the bounding rectangle, shape (2,), m."""
        extent: np.ndarray = np.ptp(self.corners, axis=0)
        return extent

    @cached_property
    def rectangle(self) -> bool:
        """Whether the polygon is its bounding rectangle."""
        off = np.minimum(self.corners - self.low, self.low + self.size - self.corners)
        return len(self.corners) == 4 and bool(np.abs(off).max() < SQUARE)

    @property
    def power(self) -> int:
        """Of the product of distances."""
        return 2 if self.clamped else 1

    @property
    def degree(self) -> int:
        """Highest degree along one axis of any shape."""
        return max(self.counts) - 1 + self.power * (2 if self.rectangle else len(self.corners))

    @cached_property
    def area_points(self) -> Points:
        """Points over the polygon that integrate products of shapes, weights in m²."""
        if self.rectangle:
            low, high = self.low, self.low + self.size
            counts = tuple(count + 2 * self.power for count in self.counts)
            return rectangle_points((low[0], low[1]), (high[0], high[1]), (counts[0], counts[1]))
        return polygon_points(self.corners, min(self.degree + 1, MOST_POINTS))

    @cached_property
    def area_jets(self) -> np.ndarray:
        """`jets` at `area_points`."""
        return self.jets(self.area_points.x, self.area_points.y)

    def jets(self, x: np.ndarray, y: np.ndarray) -> np.ndarray:
        """Every shape with its derivatives, shape (6, function, point).

        Args:
            x: shape (point,), m.
            y: likewise.

        Returns:
            w (1/m), w_x, w_y, w_xx, w_xy, w_yy.
        """
        return self._made_orthonormal(self._raw(x, y))

    def values(self, x: np.ndarray, y: np.ndarray) -> np.ndarray:
        """Every shape without its derivatives, 1/m, shape (function, point), see `jets`."""
        across, up = self._along(x, y)
        return self._made_orthonormal(self._distances(x, y)[W] * across[0] * up[0])

    def _made_orthonormal(self, raw: np.ndarray) -> np.ndarray:
        """The shapes from raw ones, (…, function, point)."""
        if self.rectangle:
            return np.asarray(self._transform[:, None] * raw)
        return np.asarray(np.matmul(self._transform, raw))

    @cached_property
    def _transform(self) -> np.ndarray:
        """What makes the raw shapes orthonormal: lower triangular, or a factor for each."""
        points = self.area_points
        values = self._raw(points.x, points.y)[W] * np.sqrt(points.weight)
        if self.rectangle:
            return np.asarray(1 / np.linalg.norm(values, axis=1))
        triangle = qr(values.T, mode="r")[0][: len(values)]
        answer: np.ndarray = solve_triangular(triangle, np.eye(len(triangle)), trans="T")
        return answer

    @cached_property
    def degrees(self) -> np.ndarray:
        """Of each raw shape's polynomials along x and y, shape (function, 2)."""
        across, up = np.indices(self.counts).reshape(2, -1)
        if self.rectangle:
            return np.stack([across, up], axis=1)
        kept = across / self.counts[0] + up / self.counts[1] < 1.0 - 1e-9
        return np.stack([across[kept], up[kept]], axis=1)

    def _raw(self, x: np.ndarray, y: np.ndarray) -> np.ndarray:
        """Products of polynomials and distances, with derivatives, (6, function, point)."""
        across, up = self._along(x, y)
        # Derivatives along x and y of W, X, Y, XX, XY and YY.
        orders = ((0, 0), (1, 0), (0, 1), (2, 0), (1, 1), (0, 2))
        polynomials = np.stack([across[i] * up[j] for i, j in orders])
        return jet_product(self._distances(x, y)[:, None], polynomials)

    def _along(self, x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Each raw shape's polynomials along x and along y, each (derivative, function, point)."""
        weight = 2 * self.power if self.rectangle else 0
        across, up = (
            _polynomials(2 * (at - self.low[axis]) / self.size[axis] - 1, count, weight)
            * (2 / self.size[axis]) ** np.arange(3)[:, None, None]
            for axis, (at, count) in enumerate(zip((x, y), self.counts, strict=True))
        )
        return across[:, self.degrees[:, 0]], up[:, self.degrees[:, 1]]

    def _distances(self, x: np.ndarray, y: np.ndarray) -> np.ndarray:
        """Product of the distances from all edges, with derivatives, (6, point)."""
        product = np.zeros((6, len(x)))
        product[W] = 1.0
        sides = np.roll(self.corners, -1, axis=0) - self.corners
        for corner, (dx, dy) in zip(self.corners, sides, strict=True):
            inward = np.array([-dy, dx]) / np.hypot(dx, dy)
            reach = ((self.corners - corner) @ inward).max() / 2
            distance = np.zeros_like(product)
            distance[W] = (inward[0] * (x - corner[0]) + inward[1] * (y - corner[1])) / reach
            distance[X], distance[Y] = inward / reach
            for _ in range(self.power):
                product = jet_product(product, distance)
        return product


def jet_product(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Product of two functions given with their first and second derivatives, (6, …)."""
    return np.stack(
        [
            a[W] * b[W],
            a[X] * b[W] + a[W] * b[X],
            a[Y] * b[W] + a[W] * b[Y],
            a[XX] * b[W] + 2 * a[X] * b[X] + a[W] * b[XX],
            a[XY] * b[W] + a[X] * b[Y] + a[Y] * b[X] + a[W] * b[XY],
            a[YY] * b[W] + 2 * a[Y] * b[Y] + a[W] * b[YY],
        ]
    )


def _polynomials(x: np.ndarray, count: int, weight: int) -> np.ndarray:
    """Jacobi polynomials P_n^(weight, weight) with two derivatives, shape (3, count, point).

    d/dx P_n^(a, a) = (n + 2a + 1)/2 · P_{n−1}^(a+1, a+1) (Abramowitz & Stegun 22.8, from memory).
    """
    n = np.arange(count)[:, None]
    rows, factor = [], np.ones((count, 1))
    for order in range(3):
        lowered = np.maximum(n - order, 0)
        values = np.where(n >= order, eval_jacobi(lowered, weight + order, weight + order, x), 0.0)
        rows.append(factor * values)
        factor = factor * (n + 2 * weight + order + 1) / 2
    return np.stack(rows)
