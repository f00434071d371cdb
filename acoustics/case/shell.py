"""The cabinet as a shell of walls with air inside."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from acoustics.cabinet import Body, inner_depths, inner_volume, walled
from acoustics.case.faces import Faces
from acoustics.case.model import Cabinet
from acoustics.case.shape import body_of, faces_of


@dataclass(frozen=True)
class Shell:
    """A cabinet's outside with walls of the thickness `wall`, m; None if it is not stated."""

    body: Body
    faces: Faces
    wall: float | None

    @cached_property
    def inside(self) -> float | None:
        """Volume inside the walls, m³; None if nothing is said of them."""
        return None if self.wall is None else inner_volume(self.body, self.wall)

    def depths(self, face: str, points: np.ndarray) -> np.ndarray:
        """See `inner_depths`; walls of which nothing is said take nothing.

        Args:
            face: the face's name.
            points: [right, up] from its centre, shape (point, 2), m.
        """
        at = self.faces.frame(face).points(points[:, 0], points[:, 1])
        return inner_depths(self.body, self.wall or 0.0, self.faces.index(face), at)


def shell_of(cabinet: Cabinet) -> Shell:
    """The shell of a cabinet other than a plate.

    Raises:
        GeometryError: as `body_of`.
    """
    return Shell(walled(body_of(cabinet)), faces_of(cabinet), cabinet.wall_thickness)
