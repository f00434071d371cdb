"""Plates and walls made to measure for the closed forms."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from scipy.linalg import eigh

from acoustics.cabinet.place import FaceFrame
from acoustics.case.design.structure_model import Material
from acoustics.structure.plate_basis import PlateBasis
from acoustics.structure.plate_bending import Plate
from acoustics.structure.plate_matrices import (
    Hole,
    Matrices,
    edge_matrices,
    plate_matrices,
    solid_parts,
)
from acoustics.structure.walls import Wall

E, POISSON = 3.0e9, 0.3
MDF = Material("mdf", 750.0, E, E, E / (2 * (1 + POISSON)), POISSON, 0.02)
"""As the panels of tests/reference/plates.json."""

UNIT = Plate(1.0, 1.0, POISSON, (1 - POISSON) / 2, 1.0)
"""An isotropic plate of D = 1 N m and 1 kg/m²: its ω is the tables' λ of a side of 1 m."""


def rectangle(a: float, b: float) -> np.ndarray:
    """Corners of a rectangle from the origin, m."""
    return np.array([[0.0, 0.0], [a, 0.0], [a, b], [0.0, b]])


def plate_problem(
    corners: np.ndarray,
    plate: Plate,
    *,
    clamped: bool = False,
    counts: tuple[int, int] = (14, 14),
    holes: tuple[Hole, ...] = (),
    fixity: float = 0.0,
) -> tuple[PlateBasis, Matrices]:
    """Shapes and matrices of a plate."""
    basis = PlateBasis(corners, counts, clamped)
    matrices = plate_matrices(solid_parts(basis, holes), plate)
    return basis, matrices + edge_matrices(basis, plate, fixity)


def angular(matrices: Matrices, count: int = 6) -> np.ndarray:
    """The lowest angular frequencies, rad/s."""
    slowness = eigh(matrices.mass, matrices.stiffness, eigvals_only=True)[::-1][:count]
    return np.asarray(1 / np.sqrt(slowness))


def wall_alone(width: float, height: float, **changes: Any) -> Wall:
    """A wall of a front face with the origin in its middle; any field can be changed."""
    frame = FaceFrame(np.zeros(3), *np.eye(3))
    corners, upright = rectangle(width, height) - [width / 2, height / 2], height >= width
    wall = Wall("front", frame, corners, 0.018, MDF, upright, upright)
    return replace(wall, **changes)
