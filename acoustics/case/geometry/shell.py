"""The cabinet as a shell of walls with air inside."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from acoustics.cabinet import Body, inner_depths, inner_volume, walled
from acoustics.case.design.faces import Faces
from acoustics.case.design.model import Cabinet, Case
from acoustics.case.geometry.shape import body_of, faces_of

Walls = tuple[tuple[str, float], ...]
"""Walls by the names of their faces, each with its thickness, m."""


@dataclass(frozen=True)
class Shell:
    """A cabinet's outside with walls of the thickness `wall`, m; None if it is not stated.

    `own` are those of another thickness.
    """

    body: Body
    faces: Faces
    wall: float | None
    own: Walls = ()

    @cached_property
    def thicknesses(self) -> np.ndarray:
        """Thickness of the wall behind every face of the body, shape (face,), m."""
        values = np.full(len(self.body.faces), self.wall or 0.0)
        for name, thickness in self.own:
            values[self.faces.index(name)] = thickness
        return values

    @cached_property
    def inside(self) -> float | None:
        """Volume inside the walls, m³; None if nothing is said of them."""
        return None if self.wall is None else inner_volume(self.body, self.thicknesses)

    def wall_behind(self, face: str) -> float:
        """Thickness of the wall behind the face of this name, m; 0 if nothing is said of it."""
        return float(self.thicknesses[self.faces.index(face)])

    def depths(self, face: str, points: np.ndarray) -> np.ndarray:
        """See `inner_depths`; walls of which nothing is said take nothing.

        Args:
            face: the face's name.
            points: [right, up] from its centre, shape (point, 2), m.
        """
        at = self.faces.frame(face).points(points[:, 0], points[:, 1])
        return inner_depths(self.body, self.thicknesses, self.faces.index(face), at)


@lru_cache(maxsize=16)
def shell_of(cabinet: Cabinet, own: Walls = ()) -> Shell:
    """The shell of a cabinet other than a plate, with the walls that have a thickness of their own.

    The last few are kept, as a search for a box asks for one again and again.

    Raises:
        GeometryError: as `body_of`.
    """
    return Shell(walled(body_of(cabinet)), faces_of(cabinet), cabinet.wall_thickness, own)


def shell_in(case: Case) -> Shell:
    """The shell of a case whose cabinet is no plate."""
    own = () if case.structure is None else case.structure.wall_materials
    return shell_of(case.cabinet, own_walls(own))


def own_walls(walls: Iterable[tuple[str, str, float]]) -> Walls:
    """Walls and their thickness, from those that say their material too."""
    return tuple((name, thickness) for name, _, thickness in walls)
