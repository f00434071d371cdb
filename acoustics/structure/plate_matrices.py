"""Stiffness and mass of a plate in terms of the shapes it can take (Ritz's method)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from acoustics.structure.plate_basis import XX, XY, YY, PlateBasis, W, X, Y
from acoustics.structure.plate_bending import Plate
from acoustics.structure.plate_points import Point, Points, disc_points, line_points

FIXITY_SCALE = 3.0
"""Rotational stiffness times width over bending stiffness where an edge is half fixed: the fixity
factor r of semi-rigid frames, kL/EI = 3r/(1 − r) (Monforton & Wu, J. Struct. Div. ASCE 89, 1963,
13, from memory)."""


HOLE_LEFT = 1e-6
"""Share of its stiffness that a hole keeps: shapes that move nothing else have some resistance."""


@dataclass(frozen=True)
class Hole:
    """A round cut-out: centre and radius, m."""

    centre: Point
    radius: float


@dataclass(frozen=True)
class Matrices:
    """What a Ritz problem is made of, functions along both axes.

    `stiffness` (N/m per squared unit of the shapes), `mass` (kg likewise), each (function,
    function); both may be added.
    """

    stiffness: np.ndarray
    mass: np.ndarray

    def __add__(self, other: Matrices) -> Matrices:
        return Matrices(self.stiffness + other.stiffness, self.mass + other.mass)


def bending_energy(jets: np.ndarray, weight: np.ndarray, plate: Plate) -> np.ndarray:
    """Stiffness matrix from jets at points, (function, function), see `Plate`.

    Args:
        jets: of every function, shape (6, function, point).
        weight: of the points, shape (point,), m².
        plate: the board.
    """
    across, mixed, up = jets[XX] * weight, jets[XY] * weight, jets[YY] * weight
    coupled = across @ jets[YY].T
    return np.asarray(
        plate.x * (across @ jets[XX].T)
        + plate.y * (up @ jets[YY].T)
        + plate.coupling * (coupled + coupled.T)
        + 4 * plate.twist * (mixed @ jets[XY].T)
    )


class Part(NamedTuple):
    """Points over a polygon (`sign` 1) or over a hole in it (−1), with the jets of all shapes."""

    points: Points
    jets: np.ndarray
    sign: int


def solid_parts(basis: PlateBasis, holes: Sequence[Hole] = ()) -> tuple[Part, ...]:
    """Over what to integrate to integrate over a board with holes.

    Holes must lie on it, and apart from each other.
    """
    parts = [Part(basis.area_points, basis.area_jets, 1)]
    for hole in holes:
        disc = disc_points(hole.centre, hole.radius, 2 * basis.degree)
        parts.append(Part(disc, basis.jets(disc.x, disc.y), -1))
    return tuple(parts)


def plate_matrices(parts: Sequence[Part], plate: Plate, *, added: float = 0.0) -> Matrices:
    """Stiffness and mass of a board with holes.

    Args:
        parts: of the board, from `solid_parts`.
        plate: how stiff and heavy it is.
        added: mass of what lies on it, kg/m².
    """
    stiffness = sum(
        (1.0 if sign > 0 else HOLE_LEFT - 1.0) * bending_energy(jets, points.weight, plate)
        for points, jets, sign in parts
    )
    return Matrices(np.asarray(stiffness), (plate.mass + added) * gram(parts))


def gram(parts: Sequence[Part]) -> np.ndarray:
    """∫ products of the shapes over what is left of the polygon, shape (function, function)."""
    return np.asarray(
        sum(sign * (jets[W] * points.weight) @ jets[W].T for points, jets, sign in parts)
    )


def areas(parts: Sequence[Part]) -> np.ndarray:
    """∫ of each shape over what is left of the polygon, shape (function,), m."""
    return np.asarray(sum(sign * jets[W] @ points.weight for points, jets, sign in parts))


def quadratic(matrix: np.ndarray, vectors: np.ndarray) -> np.ndarray:
    """φᵀ(matrix)φ of every column φ of `vectors` (function, mode), shape (mode,)."""
    return np.asarray(np.einsum("im,im->m", vectors, matrix @ vectors))


def edge_matrices(basis: PlateBasis, plate: Plate, fixity: float) -> Matrices:
    """What the springs do that hold the edges against turning.

    The stiffness per metre of an edge is 3r/(1 − r)·D/L for the fixity r (`FIXITY_SCALE`): D is
    the bending stiffness across the edge, L how far the plate goes on behind it, its area over the
    edge's length (the width at right angles of a rectangle), at most its whole depth there.

    Args:
        basis: the shapes; a `clamped` one has nothing left to hold.
        plate: the board.
        fixity: 0 hinged to below 1.
    """
    count = len(basis.area_jets[W])
    stiffness = np.zeros((count, count))
    if not basis.clamped and fixity > 0.0:
        whole = float(basis.area_points.weight.sum())
        ends = np.roll(basis.corners, -1, axis=0)
        for start, end in zip(basis.corners, ends, strict=True):
            length = float(np.hypot(*(end - start)))
            inward = np.array([start[1] - end[1], end[0] - start[0]]) / length
            width = min(whole / length, float(((basis.corners - start) @ inward).max()))
            spring = FIXITY_SCALE * fixity / (1 - fixity) * plate.across(*inward) / width
            points = line_points(start, end, basis.degree + 1)
            jets = basis.jets(points.x, points.y)
            slope = inward[0] * jets[X] + inward[1] * jets[Y]
            stiffness += spring * (slope * points.weight) @ slope.T
    return Matrices(stiffness, np.zeros((count, count)))
