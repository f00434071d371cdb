"""Products of functions of x, y and z, and their integrals over any convex polyhedron.

Bare numbers. A product f(x) g(y) h(z) is integrated slice by slice: on a level slice, which is a
convex polygon, the pairs of f and h are integrated once for all g. So a few hundred functions take
a fraction of a second, and polynomials are integrated exactly.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.polynomial.legendre import leggauss, legvander

from acoustics.cabinet.half_spaces import Solid

FLAT_SLICE = 1e-9
"""m: corners nearer in height than this are level with each other"""

Rows = Callable[[np.ndarray, int, bool], np.ndarray]
"""From points in −1 … 1, the number of functions and whether their slopes are meant to the values,
shape (point, function)."""


def cosines(points: np.ndarray, count: int, slopes: bool) -> np.ndarray:
    """cos(nπ(x + 1)/2), n = 0 …, or their slopes, shape (point, function)."""
    turns = np.pi / 2 * np.arange(count)
    phase = turns * (points[:, None] + 1)
    return -turns * np.sin(phase) if slopes else np.cos(phase)


def polynomials(points: np.ndarray, count: int, slopes: bool) -> np.ndarray:
    """Legendre polynomials, or their slopes, shape (point, function)."""
    if not slopes:
        return legvander(points, count - 1)
    values = legvander(points, max(count - 2, 0))
    answer = np.zeros((points.size, count))
    for degree in range(1, count):
        # P'(n) = (2n − 1) P(n−1) + P'(n−2): Abramowitz & Stegun 1964, 8.5.4 and 22.7 (from memory)
        answer[:, degree] = (2 * degree - 1) * values[:, degree - 1]
        if degree > 1:
            answer[:, degree] += answer[:, degree - 2]
    return answer


@dataclass(frozen=True)
class Products:
    """Products of functions of x, y and z over a box.

    Args:
        rows: `cosines` or `polynomials`.
        lowest: corner of the box, shape (3,), m.
        sizes: of the box, shape (3,), m.
        orders: which function each product takes along each axis, shape (product, 3).
    """

    rows: Rows
    lowest: np.ndarray
    sizes: np.ndarray
    orders: np.ndarray

    def values(self, points: np.ndarray) -> np.ndarray:
        """The products at points (point, 3), m: shape (product, point)."""
        parts = [self.along(axis, points[:, axis])[:, self.orders[:, axis]] for axis in range(3)]
        answer: np.ndarray = (parts[0] * parts[1] * parts[2]).T
        return answer

    def gradients(self, points: np.ndarray) -> np.ndarray:
        """Likewise their gradients, shape (3, product, point), 1/m."""
        flat, steep = (
            [
                self.along(axis, points[:, axis], slopes=sloped)[:, self.orders[:, axis]]
                for axis in range(3)
            ]
            for sloped in (False, True)
        )
        answer: np.ndarray = np.stack(
            [
                (steep[0] * flat[1] * flat[2]).T,
                (flat[0] * steep[1] * flat[2]).T,
                (flat[0] * flat[1] * steep[2]).T,
            ]
        )
        return answer

    def along(self, axis: int, places: np.ndarray, *, slopes: bool = False) -> np.ndarray:
        """All functions of one axis at places (m), or their slopes (1/m): (place, function)."""
        half = self.sizes[axis] / 2
        count = int(self.orders[:, axis].max()) + 1
        values = self.rows((places - self.lowest[axis]) / half - 1, count, slopes)
        return values / half if slopes else values

    def places(self, order: int) -> int:
        """How many Gauss points integrate a product of two functions up to an order.

        Two more than exact for polynomials, for slices add two degrees; for cosines as many as
        their phase needs, and some.
        """
        return order + 2 if self.rows is polynomials else int(1.6 * order) + 8

    @property
    def most_places(self) -> int:
        """Likewise of two of these products in any direction."""
        return self.places(int(self.orders.sum(axis=1).max()))


def orders_within(limits: np.ndarray) -> np.ndarray:
    """Triples of orders inside the ellipsoid of these half axes, shape (product, 3)."""
    grids = np.meshgrid(*(np.arange(int(limit) + 1) for limit in limits), indexing="ij")
    orders = np.stack([grid.ravel() for grid in grids], axis=1)
    answer: np.ndarray = orders[((orders / limits) ** 2).sum(axis=1) <= 1 + 1e-12]
    return answer


def region_integrals(products: Products, solid: Solid) -> tuple[np.ndarray, np.ndarray]:
    """∫ p q dV and ∫ ∇p·∇q dV of all pairs of products over a convex polyhedron.

    Returns:
        two arrays of shape (product, product), m³ and m.
    """
    orders = products.orders
    pairs, where = np.unique(orders[:, [0, 2]], axis=0, return_inverse=True)
    count = int(orders[:, 1].max()) + 1
    heights, weights = _heights(solid, products.places(count))
    per_slice = np.array([_slice_integrals(products, pairs, solid, y) for y in heights])
    level = per_slice[:, 0].reshape(heights.size, -1)
    across = per_slice[:, 1].reshape(heights.size, -1)
    values = products.along(1, heights)
    slopes = products.along(1, heights, slopes=True)
    # One row for each pair of functions of y, one column for each pair of pairs.
    both = (weights[:, None, None] * values[:, :, None] * values[:, None, :]).reshape(
        heights.size, -1
    )
    sloped = (weights[:, None, None] * slopes[:, :, None] * slopes[:, None, :]).reshape(
        heights.size, -1
    )
    rows = orders[:, 1][:, None] * count + orders[:, 1][None, :]
    columns = where[:, None] * len(pairs) + where[None, :]
    mass = (both.T @ level)[rows, columns]
    stiffness = (both.T @ across + sloped.T @ level)[rows, columns]
    return mass, stiffness


def sum_integrals(
    products: Products, coefficients: np.ndarray, solid: Solid
) -> tuple[np.ndarray, np.ndarray]:
    """∫ s² dV and ∫ |∇s|² dV of sums of products over a convex polyhedron.

    By the same points as `region_integrals`, but of the sums alone: a few of them take a tenth of
    the time of all pairs of products.

    Args:
        products: that are added up.
        coefficients: of each in every sum, shape (product, sum).
        solid: the polyhedron.

    Returns:
        two arrays of shape (sum,), m³ and m.
    """
    orders = products.orders
    pairs, where = np.unique(orders[:, [0, 2]], axis=0, return_inverse=True)
    upright = int(orders[:, 1].max()) + 1
    heights, weights = _heights(solid, products.places(upright))
    count = products.places(int(pairs.sum(axis=1).max()))
    # What each sum takes of each pair of functions of x and z and each function of y.
    parted = np.zeros((len(pairs), upright, coefficients.shape[1]))
    parted[where.ravel(), orders[:, 1]] = coefficients
    values, slopes = (products.along(1, heights, slopes=sloped) for sloped in (False, True))
    squares, steepness = np.zeros((2, coefficients.shape[1]))
    for height, weight, own, steep in zip(heights, weights, values, slopes, strict=True):
        points, areas = _polygon_rule(_slice(solid, height), count)
        flat, right, deep = _pair_values(products, pairs, points)
        level, upward = (np.einsum("y,pys->ps", each, parted) for each in (own, steep))
        shape = flat @ level
        squares += weight * (areas @ shape**2)
        for gradient in (right @ level, deep @ level, flat @ upward):
            steepness += weight * (areas @ gradient**2)
    return squares, steepness


def face_rule(solid: Solid, face: int, count: int) -> tuple[np.ndarray, np.ndarray]:
    """Points (point, 3) and weights (m²) of a rule of `count`² points a triangle on a face."""
    corners = solid.points[list(solid.loops[face])]
    start = corners[0]
    right = (corners[1] - start) / np.linalg.norm(corners[1] - start)
    normal = np.cross(right, corners[2] - start)
    axes = np.stack([right, np.cross(normal / np.linalg.norm(normal), right)])
    points, weights = _polygon_rule((corners - start) @ axes.T, count)
    return start + points @ axes, weights


def _heights(solid: Solid, count: int) -> tuple[np.ndarray, np.ndarray]:
    """Gauss points and weights in y between the levels of the corners, m."""
    levels = np.unique(solid.points[:, 1])
    levels = levels[np.append(np.diff(levels) > FLAT_SLICE, True)]
    places, weights = leggauss(count)
    lower, upper = levels[:-1, None], levels[1:, None]
    heights = (lower + upper) / 2 + (upper - lower) / 2 * places
    return heights.ravel(), ((upper - lower) / 2 * weights).ravel()


def _slice_integrals(
    products: Products, pairs: np.ndarray, solid: Solid, height: float
) -> np.ndarray:
    """∫ p q dA and ∫ ∂p·∂q dA over a level slice, shape (2, pair, pair)."""
    count = products.places(int(pairs.sum(axis=1).max()))
    points, weights = _polygon_rule(_slice(solid, height), count)
    root = np.sqrt(weights)[:, None]
    level, right, deep = (root * each for each in _pair_values(products, pairs, points))
    return np.stack([level.T @ level, right.T @ right + deep.T @ deep])


def _pair_values(
    products: Products, pairs: np.ndarray, points: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Products of functions of x and z at points (x, z), and their slopes along both.

    Each of shape (point, pair).
    """
    (x, slope_x), (z, slope_z) = (
        [
            products.along(axis, points[:, at], slopes=sloped)[:, pairs[:, at]]
            for sloped in (False, True)
        ]
        for at, axis in enumerate((0, 2))
    )
    return x * z, slope_x * z, x * slope_z


def _slice(solid: Solid, height: float) -> np.ndarray:
    """Corners (x, z) of a level slice in order round it, shape (corner, 2), m."""
    ends = {
        (min(pair), max(pair))
        for loop in solid.loops
        for pair in zip(loop, loop[1:] + loop[:1], strict=True)
    }
    edges = solid.points[np.array(sorted(ends))]
    above = edges[:, :, 1] > height
    lower, upper = edges[above[:, 0] != above[:, 1]].transpose(1, 0, 2)
    share = (height - lower[:, 1]) / (upper[:, 1] - lower[:, 1])
    points = (lower + share[:, None] * (upper - lower))[:, [0, 2]]
    x, z = (points - points.mean(axis=0)).T
    answer: np.ndarray = points[np.argsort(np.arctan2(z, x))]
    return answer


def _polygon_rule(corners: np.ndarray, count: int) -> tuple[np.ndarray, np.ndarray]:
    """Points (point, 2) and weights of a rule on a convex polygon: collapsed squares."""
    places, weights = leggauss(count)
    places, weights = (places + 1) / 2, weights / 2
    first, second = (grid.ravel() for grid in np.meshgrid(places, places, indexing="ij"))
    both = np.outer(weights, weights).ravel() * first
    start, middle, end = corners[0], corners[1:-1], corners[2:]
    one, two = middle - start, end - middle
    points = start + first[:, None] * (one[:, None] + second[:, None] * two[:, None])
    doubled = np.abs(one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0])
    return points.reshape(-1, 2), np.outer(doubled, both).ravel()
