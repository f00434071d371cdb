"""Standing waves of the air in a cabinet with hard walls.

In a box they are products of cosines, in closed form. In any other convex inside they come from
the Rayleigh–Ritz method (Rayleigh, Theory of Sound, § 88; from memory) with products of Legendre
polynomials: hard walls are its natural boundary condition, and standing waves are smooth, so a few
hundred functions are good to 1e-5 where quadratic finite elements took twenty times as long for
1e-3.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.linalg import eigh

from acoustics.cabinet.half_spaces import Solid
from acoustics.case.design.model import Case
from acoustics.case.design.structure_model import Structure
from acoustics.conventions import Air
from acoustics.field.blas import one_blas_thread
from acoustics.structure.air_basis import (
    Products,
    cosines,
    face_rule,
    orders_within,
    polynomials,
    region_integrals,
    sum_integrals,
)
from acoustics.structure.air_inside import Inside, one_space, structure_of

REACH = 1500.0
"""Hz: how far up standing waves are followed where no structure says."""

BEYOND = 2.0
"""Responses add up standing waves as far as this times the reach: what is left out is a mass."""

MOST_TERMS = 240
"""of such a sum"""

MORE_ORDERS = 5.0
"""Polynomials take orders up to this beyond half the product of wavenumber and size: with 4 a box
is right to 2e-4 at the reach, with 5 to 1e-5, with 6 to 3e-6."""

INDEPENDENT = 1e-11
"""Combinations of polynomials that are less than this, by the square, are rounding errors."""


@dataclass(frozen=True)
class AirModes:
    """Standing waves of a space with hard walls, and the uniform pressure before them.

    Args:
        inside: the space.
        air: in it.
        terms: frequencies of all that responses add up, 0 of the uniform pressure first,
            ascending, shape (term,), Hz.
        count: how many of them, after the first, are standing waves up to the reach.
        indices: of a box, half waves along width, height and depth, shape (term, 3); else None.
        products: of which the shapes are sums.
        coefficients: shape (product, term).
    """

    inside: Inside
    air: Air
    terms: np.ndarray
    count: int
    indices: np.ndarray | None
    products: Products
    coefficients: np.ndarray

    @property
    def frequency(self) -> np.ndarray:
        """Of the standing waves up to the reach, ascending, shape (mode,), Hz."""
        return self.terms[1 : 1 + self.count]

    @property
    def names(self) -> tuple[str, ...]:
        """Half waves along width, height and depth in a box, "0 1 0"; else the number, "2"."""
        numbers = range(1, 1 + self.count)
        if self.indices is None:
            return tuple(str(number) for number in numbers)
        return tuple(" ".join(str(index) for index in self.indices[one]) for one in numbers)

    def term_shapes(self, points: np.ndarray) -> np.ndarray:
        """Pressure of every term at points (point, 3), m: (term, point).

        Its square is 1 in the mean over the volume.
        """
        answer: np.ndarray = self.coefficients.T @ self.products.values(points)
        return answer

    def shares(self, solid: Solid) -> np.ndarray:
        """Of each wave's ∫φ² and ∫|∇φ|², what lies in a convex part, shape (2, mode)."""
        own = self.coefficients[:, 1 : 1 + self.count]
        parts = np.stack(sum_integrals(self.products, own, solid))
        wave = 2 * np.pi * self.frequency / self.air.speed_of_sound
        answer: np.ndarray = parts / self.inside.volume / np.stack([np.ones_like(wave), wave**2])
        return answer

    def surface(self, solid: Solid, face: int) -> np.ndarray:
        """∫φ² dA/V and ∫|∇φ|² dA/V along a face of a convex part, shape (2, mode), 1/m, 1/m³."""
        points, weights = face_rule(solid, face, self.products.most_places)
        own = self.coefficients[:, 1 : 1 + self.count]
        shapes = own.T @ self.products.values(points)
        slopes = own.T @ self.products.gradients(points)
        across = np.einsum("x,xmq->mq", self.inside.normals[face], slopes)
        squares = shapes**2, (slopes**2).sum(axis=0) - across**2
        answer: np.ndarray = np.stack([each @ weights for each in squares]) / self.inside.volume
        return answer


def air_modes(case: Case, structure: Structure | None = None) -> AirModes:
    """The standing waves in a cabinet whose inside is one space.

    Args:
        case: the design; its enclosure's whole inside counts, without what is in it.
        structure: walls of their own thickness, and how far up to go, in place of the case's own;
            without any up to 1500 Hz.

    Raises:
        AirError: see `one_space`.
    """
    known = structure_of(case, structure)
    reach = REACH if known is None else known.reach
    return modes_of(one_space(case, known), case.air, reach)


def modes_of(inside: Inside, air: Air, reach: float) -> AirModes:
    """The standing waves of a space up to a frequency, Hz."""
    return box_modes(inside, air, reach) if inside.square else ritz_modes(inside, air, reach)


def mode_shapes_at(modes: AirModes, points: np.ndarray) -> np.ndarray:
    """Pressure of each standing wave at points (point, 3), m: shape (mode, point).

    Its square is 1 in the mean over the volume.
    """
    return modes.term_shapes(points)[1 : 1 + modes.count]


def box_modes(inside: Inside, air: Air, reach: float) -> AirModes:
    """Of a box: f = c/2 √(Σ (l/L)²) (Kinsler et al., Fundamentals of Acoustics, 2000, ch. 9)."""
    speed = air.speed_of_sound
    indices = orders_within(np.maximum(2 * BEYOND * reach / speed * inside.sizes, 1e-6))
    frequencies = speed / 2 * np.sqrt(((indices / inside.sizes) ** 2).sum(axis=1))
    # Of equal ones the first by its indices comes first, whatever rounding does to them.
    order = np.lexsort((*indices.T[::-1], np.round(frequencies, 6)))
    count = int((frequencies <= reach).sum()) - 1
    order = order[: max(MOST_TERMS, count + 1)]
    indices, frequencies = indices[order], frequencies[order]
    products = Products(cosines, inside.lowest, inside.sizes, indices)
    scales = np.sqrt(2.0 ** (indices > 0).sum(axis=1))
    return AirModes(inside, air, frequencies, count, indices, products, np.diag(scales))


@one_blas_thread()
def ritz_modes(inside: Inside, air: Air, reach: float) -> AirModes:
    """Of any convex space, by the Rayleigh–Ritz method; of a box too, if one asks."""
    wave = 2 * np.pi * reach / air.speed_of_sound
    orders = orders_within(wave * inside.sizes / 2 + MORE_ORDERS)
    products = Products(polynomials, inside.lowest, inside.sizes, orders)
    mass, stiffness = region_integrals(products, inside.solid)
    scale = 1 / np.sqrt(np.diag(mass))
    mass, stiffness = (scale[:, None] * each * scale for each in (mass, stiffness))
    strength, ways = eigh(mass, overwrite_a=True)
    kept = strength > INDEPENDENT * strength[-1]
    ways = ways[:, kept] / np.sqrt(strength[kept])
    most = min(MOST_TERMS, ways.shape[1])
    squares, shapes = eigh(ways.T @ stiffness @ ways, subset_by_index=[0, most - 1])
    frequencies = air.speed_of_sound / (2 * np.pi) * np.sqrt(np.maximum(squares, 0.0))
    # The uniform pressure is among the functions, so the first frequency is a rounding error.
    frequencies[0] = 0.0
    within = frequencies <= BEYOND * reach
    coefficients = np.sqrt(inside.volume) * scale[:, None] * (ways @ shapes[:, within])
    # Which of a shape's two signs comes out is an accident of the machine.
    largest = np.abs(coefficients).argmax(axis=0)
    coefficients *= np.sign(coefficients[largest, np.arange(largest.size)])
    count = int((frequencies <= reach).sum()) - 1
    return AirModes(inside, air, frequencies[within], count, None, products, coefficients)
