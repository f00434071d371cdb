"""Holes in the walls of a cabinet, for drivers, ports and passive radiators."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

from acoustics.case.design.faces import Faces
from acoustics.case.design.model import Case
from acoustics.case.objects.structure_of import wall_name


class WallHole(NamedTuple):
    """A hole on a face: centre [right, up] from the face's, size as of a `Hole`, m.

    `guessed` says that no size of the hole is stated, so that of the piston stands for it.
    """

    face: str
    what: str
    centre: tuple[float, float]
    size: tuple[float, ...]
    guessed: bool = False

    @property
    def area(self) -> float:
        """m²."""
        if len(self.size) == 1:
            return math.pi / 4 * self.size[0] ** 2
        return self.size[0] * self.size[1]


def wall_holes(case: Case, faces: Faces) -> Iterator[WallHole]:
    """Every hole in the walls of a case, its face called as the wall is."""
    for driver in case.drivers:
        face, cutout = wall_name(faces, driver.face), driver.cutout_diameter
        size = driver.piston_diameter if cutout is None else cutout
        yield WallHole(face, driver.name, driver.position, (size,), cutout is None)
    for enclosure in case.enclosures:
        for port in enclosure.ports:
            face = wall_name(faces, port.face)
            yield WallHole(face, f"port {port.name}", port.position, port.size)
        for radiator in enclosure.passive_radiators:
            face = wall_name(faces, radiator.face)
            what, size = f"passive radiator {radiator.name}", radiator.piston_diameter
            yield WallHole(face, what, radiator.position, (size,), guessed=True)
