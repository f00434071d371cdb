"""A single edge, for checks of one diffraction at a time."""

from __future__ import annotations

import numpy as np

from acoustics.field.grid import EdgeTable


def single_edge(wedge: float, length: float, start: float = 0.0) -> EdgeTable:
    """One edge along z from `start` (m), its face θ = 0 in the plane y = 0."""
    return EdgeTable(
        origin=np.array([[0.0, 0.0, start]]),
        along=np.array([[0.0, 0.0, 1.0]]),
        length=np.array([length]),
        wedge=np.array([wedge]),
        nu=np.array([np.pi / wedge]),
        corners=np.array([[0, 1]]),
        faces=np.array([[0, 1]]),
        tangent=np.array([[[1.0, 0.0, 0.0], [np.cos(wedge), np.sin(wedge), 0.0]]]),
        normal=np.array([[[0.0, 1.0, 0.0], [np.sin(wedge), -np.cos(wedge), 0.0]]]),
    )
