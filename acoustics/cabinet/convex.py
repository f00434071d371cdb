"""Convex regions of space, each what lies behind some planes, put together and measured."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.spatial import ConvexHull

from acoustics.cabinet.half_spaces import Solid, solid_behind


class Region(NamedTuple):
    """All points p with normal·p ≤ offset: normals (plane, 3) of length 1, offsets (plane,), m."""

    normals: np.ndarray
    offsets: np.ndarray

    def solid(self) -> Solid | None:
        """Its corners and faces; None if it is empty."""
        return solid_behind(self.normals, self.offsets)

    def volume(self) -> float:
        """m³; 0 if it is empty."""
        solid = self.solid()
        return 0.0 if solid is None else float(ConvexHull(solid.points).volume)


def common(*regions: Region) -> Region:
    """What is common to some regions; their planes follow each other."""
    return Region(
        np.concatenate([region.normals for region in regions]),
        np.concatenate([region.offsets for region in regions]),
    )


def slab(way: np.ndarray, low: float, high: float) -> Region:
    """What lies between low and high, m along a unit vector from the origin."""
    return Region(np.array([way, -way]), np.array([high, -low]))
