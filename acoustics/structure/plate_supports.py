"""What stiffens and weighs on a plate along lines, round circles and on patches."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from acoustics.case.design.structure_model import Material
from acoustics.structure.plate_basis import XX, XY, YY, PlateBasis, W
from acoustics.structure.plate_matrices import Hole, Matrices
from acoustics.structure.plate_points import (
    Point,
    Points,
    circle_points,
    joined,
    line_points,
    rectangle_points,
    within,
)

CIRCLE_POINTS = 48
"""on a ring"""


@dataclass(frozen=True)
class Rib:
    """A straight thing along a line of the plate from `start` to `end` (m).

    `bending` EI and `torsion` GJ in N m², `mass` in kg/m, `hold` the stiffness of a support that
    keeps the line down, N/m per metre. Nothing of it is where a hole is.
    """

    start: Point
    end: Point
    bending: float = 0.0
    torsion: float = 0.0
    mass: float = 0.0
    hold: float = 0.0


@dataclass(frozen=True)
class Ring:
    """`mass` (kg) spread over a circle: a driver on its screws."""

    centre: Point
    radius: float
    mass: float


def bar_rib(
    start: Point,
    end: Point,
    material: Material,
    *,
    width: float,
    height: float,
    board: float,
    stretched: float = math.inf,
) -> Rib:
    """The rib that a bar makes which is glued along a board.

    Bar and board bend as one section, the bar's EA against that of the strip of board that is
    stretched with it: a bar much stiffer than the board bends about its own middle, one that the
    board holds fast about the board's (parallel-axis theorem). GJ of a rectangle is that of
    Timoshenko & Goodier (Theory of Elasticity, 1951, § 94), in the closed form of Roark (from
    memory; within 0.5 %).

    Args:
        start: one end, m.
        end: the other, m.
        material: of the bar, its grain along it.
        width: on the board, m.
        height: it stands out of it, m.
        board: thickness of the board, m.
        stretched: EA of that strip, see `stretched_strip`, N; infinite: the board's middle is not
            stretched.
    """
    stiff = material.along * width * height
    shared = stiff / (1 + stiff / stretched)
    long, short = max(width, height), min(width, height)
    ratio = short / long
    twist = long * short**3 * (1 / 3 - 0.21 * ratio * (1 - ratio**4 / 12))
    return Rib(
        start,
        end,
        bending=stiff * height**2 / 12 + shared * ((height + board) / 2) ** 2,
        torsion=material.shear * twist,
        mass=material.density * width * height,
    )


def stretched_strip(
    board: Material, thickness: float, *, span: float, breadth: float, with_grain: bool
) -> float:
    """EA of the strip of a board that is stretched together with a bar glued along it, N.

    The farther from the bar, the less: a strip of 4 l/π(3 + 2ν − ν²), 0.36 l, stands for a wide
    board if the bar bends in half waves of the length l (Timoshenko & Goodier, Theory of
    Elasticity, § 36, effective width; isotropic board), here the span, as in the lowest mode. In
    higher modes the strip is narrower.

    Args:
        board: its material.
        thickness: its thickness, m.
        span: length of the bar, m.
        breadth: of the whole board across the bar, m: no strip is wider.
        with_grain: whether the bar runs with the board's grain.
    """
    poisson = board.poisson
    strip = 4 * span / (math.pi * (3 + 2 * poisson - poisson**2))
    modulus = board.along if with_grain else board.across
    return modulus * thickness * min(strip, breadth)


def rib_matrices(basis: PlateBasis, rib: Rib, holes: Sequence[Hole] = ()) -> Matrices:
    """Stiffness and mass of a rib: ∫ EI w_ss² + GJ w_sn² + hold w² ds, and ∫ mass w² ds."""
    points = rib_points(basis, rib, holes)
    jets = basis.jets(points.x, points.y)
    length = np.hypot(rib.end[0] - rib.start[0], rib.end[1] - rib.start[1])
    c, s = (rib.end[0] - rib.start[0]) / length, (rib.end[1] - rib.start[1]) / length
    bend = c * c * jets[XX] + 2 * c * s * jets[XY] + s * s * jets[YY]
    turn = c * s * (jets[YY] - jets[XX]) + (c * c - s * s) * jets[XY]
    squares = (jets[W] * points.weight) @ jets[W].T
    stiffness = (
        rib.bending * (bend * points.weight) @ bend.T
        + rib.torsion * (turn * points.weight) @ turn.T
        + rib.hold * squares
    )
    return Matrices(stiffness, rib.mass * squares)


def rib_points(basis: PlateBasis, rib: Rib, holes: Sequence[Hole]) -> Points:
    """Points along what the holes leave of a rib; weights in m."""
    start = np.array(rib.start)
    along = np.array(rib.end) - start
    pieces = [(0.0, 1.0)]
    for hole in holes:
        low, high = crossing(start, along, hole)
        pieces = [
            piece
            for a, b in pieces
            for piece in ((a, min(b, low)), (max(a, high), b))
            if piece[1] - piece[0] > 0
        ]
    if not pieces:
        return Points(*(np.zeros(0),) * 3)
    count = basis.degree + 1
    return joined([line_points(start + a * along, start + b * along, count) for a, b in pieces])


def crossing(start: np.ndarray, along: np.ndarray, hole: Hole) -> tuple[float, float]:
    """Between which shares of a line it runs in a hole; (1, 1) if nowhere."""
    squared = float(along @ along)
    nearest = float((np.array(hole.centre) - start) @ along) / squared
    apart = start + nearest * along - np.array(hole.centre)
    half = (hole.radius**2 - float(apart @ apart)) / squared
    return (1.0, 1.0) if half <= 0 else (nearest - half**0.5, nearest + half**0.5)


def ring_values(basis: PlateBasis, centre: Point, radius: float) -> tuple[np.ndarray, np.ndarray]:
    """Shapes on a circle, as far as it is on the plate: values (function, point), weights (1)."""
    points = within(circle_points(centre, radius, CIRCLE_POINTS), basis.corners)
    values = basis.values(points.x, points.y)
    return values, np.full(values.shape[1], 1.0 / max(values.shape[1], 1))


def ring_matrices(basis: PlateBasis, ring: Ring) -> Matrices:
    """Mass of a ring; the mass of points beyond the edges is spread over the others."""
    values, weight = ring_values(basis, ring.centre, ring.radius)
    mass = ring.mass * (values * weight) @ values.T
    return Matrices(np.zeros_like(mass), mass)


def patch_mean(basis: PlateBasis, centre: Point, size: tuple[float, float]) -> np.ndarray:
    """Mean of each shape over a small rectangle, shape (function,)."""
    (x, y), (width, height) = centre, size
    low, high = (x - width / 2, y - height / 2), (x + width / 2, y + height / 2)
    points = within(rectangle_points(low, high, (6, 6)), basis.corners)
    values = basis.values(points.x, points.y)
    answer: np.ndarray = values @ points.weight / points.weight.sum()
    return answer
