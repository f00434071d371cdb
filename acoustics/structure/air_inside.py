"""The inside of a cabinet as one space of air: which walls bound it, and when it is none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.spatial import ConvexHull

from acoustics.cabinet.half_spaces import Solid, solid_behind
from acoustics.case.design.enclosure_model import Enclosure
from acoustics.case.design.model import Case
from acoustics.case.design.structure_model import Brace, Lining, Structure
from acoustics.case.geometry.shell import Shell, shell_of
from acoustics.case.text.phrases import listed
from acoustics.case.text.units import in_unit
from acoustics.conventions import RoundoverError

SQUARE = 1e-9
"""How far a normal may be from an axis for a wall to count as square."""

WHOLE = 0.9
"""Share of the inside that an enclosure must have to be taken for all of it (no source): what is
stated net, with braces left out, is some per cent less."""

OPEN_SHELF = 0.4
"""Share of a shelf brace that must be cut out for the air on both sides to be one (no source)."""


class AirError(RoundoverError, ValueError):
    """A cabinet whose air nothing can be said of."""


@dataclass(frozen=True)
class Inside:
    """A convex space of air.

    Args:
        normals: of the walls, outward, shape (wall, 3).
        offsets: of their inner sides from the origin, shape (wall,), m.
        walls: their names; "" for what stands in place of a rounded edge.
        solid: corners, and of each wall the loop of its corners.
    """

    normals: np.ndarray
    offsets: np.ndarray
    walls: tuple[str, ...]
    solid: Solid

    @cached_property
    def volume(self) -> float:
        """In m³."""
        return solid_volume(self.solid)

    @cached_property
    def lowest(self) -> np.ndarray:
        """Corner of the box round it, shape (3,), m."""
        return np.asarray(self.solid.points.min(axis=0))

    @cached_property
    def sizes(self) -> np.ndarray:
        """Of the box round it: width, height, depth, shape (3,), m."""
        return np.asarray(np.ptp(self.solid.points, axis=0))

    @cached_property
    def square(self) -> bool:
        """Whether it is a box along the axes."""
        bounding = [wall for wall, loop in enumerate(self.solid.loops) if loop]
        straight = np.abs(self.normals[bounding]).max(axis=1) > 1 - SQUARE
        return len(bounding) == 6 and bool(straight.all())

    @property
    def least_size(self) -> float:
        """How far apart the walls are where they are nearest, m: square to each of them."""
        bounding = [wall for wall, loop in enumerate(self.solid.loops) if loop]
        return float(np.ptp(self.solid.points @ self.normals[bounding].T, axis=0).min())

    def inner(self, depths: np.ndarray) -> Solid | None:
        """What is left where a layer lies on each wall, depths (wall,), m; None: nothing."""
        return solid_behind(self.normals, self.offsets - depths)

    def moved_in(self, points: np.ndarray) -> np.ndarray:
        """Points (…, 3), those beyond a wall moved straight back to it, m."""
        moved = np.array(points, dtype=float)
        for normal, offset in zip(self.normals, self.offsets, strict=True):
            moved -= np.maximum(moved @ normal - offset, 0.0)[..., None] * normal
        return moved


def solid_volume(solid: Solid) -> float:
    """Volume of a solid, m³."""
    return float(ConvexHull(solid.points).volume)


def drawn_together(solid: Solid, share: float) -> Solid:
    """A solid drawn together about a point in its middle to a share of its volume."""
    # The mean of the corners need not be the centre of gravity, only lie inside.
    centre = solid.points.mean(axis=0)
    return Solid(centre + share ** (1 / 3) * (solid.points - centre), solid.loops)


def structure_of(case: Case, structure: Structure | None) -> Structure | None:
    """The structure that is asked about, or else the case's own."""
    return case.structure if structure is None else structure


def wall_depths(shell: Shell, structure: Structure | None) -> np.ndarray:
    """Thickness of every wall of a shell, shape (wall,), m.

    Args:
        shell: whose walls' thickness is stated.
        structure: whose `wall_materials` have a thickness of their own.
    """
    depths = np.full(len(shell.body.faces), shell.wall or 0.0)
    for wall, _, thickness in () if structure is None else structure.wall_materials:
        depths[shell.faces.index(wall)] = thickness
    return depths


def inside_of(case: Case, structure: Structure | None = None) -> Inside:
    """All that is inside the walls of a cabinet, whatever parts it.

    Raises:
        AirError: an open baffle, walls of unknown thickness, walls that leave nothing.
    """
    cabinet = case.cabinet
    if cabinet.shape == "plate":
        raise AirError("cabinet.shape: a plate has no inside, so no air stands in it")
    if cabinet.wall_thickness is None:
        raise AirError(
            "cabinet.wall_thickness: how thick the walls are is not stated, so how large the "
            'inside is is not known; add it, for example wall_thickness = "18 mm"'
        )
    shell = shell_of(cabinet)
    body, depths = shell.body, wall_depths(shell, structure_of(case, structure))
    solid = solid_behind(body.normals, body.offsets - depths)
    if solid is None:
        raise AirError(
            f"cabinet.wall_thickness: walls of {in_unit(float(depths.max()), 'mm')} leave no "
            "inside; write thinner ones or a larger cabinet"
        )
    names = shell.faces.names
    walls = (*names, *[""] * (len(body.faces) - len(names)))
    return Inside(body.normals, body.offsets - depths, walls, solid)


def one_space(case: Case, structure: Structure | None = None) -> Inside:
    """Likewise where that is one space: with one enclosure at most.

    Raises:
        AirError: as `inside_of`; and where the inside is parted, so that nobody knows the shapes.
    """
    inside = inside_of(case, structure)
    known = structure_of(case, structure)
    unknown = parted(case, inside.volume) or _shelved(known.braces if known is not None else ())
    if unknown:
        raise AirError(unknown)
    return inside


def parted(case: Case, volume: float) -> str:
    """Why the inside, m³, is not one space of known shape; "" if it is."""
    if len(case.enclosures) > 1:
        names = listed([enclosure.name for enclosure in case.enclosures])
        return (
            f"the inside is parted into the enclosures {names}; the case does not say where the "
            "boards between them stand, so the shape of none is known, nor its standing waves"
        )
    for enclosure in case.enclosures:
        if enclosure.gross < WHOLE * volume:
            return (
                f"enclosure {enclosure.name} has {in_unit(enclosure.gross, 'l', digits=3)} of the "
                f"{in_unit(volume, 'l', digits=3)} inside; the case does not say where the rest is "
                "parted off, so its shape is not known, nor its standing waves"
            )
    return ""


def _shelved(braces: Sequence[Brace]) -> str:
    """Likewise because of a shelf that nothing is cut out of."""
    for brace in braces:
        if brace.kind == "shelf" and brace.open == 0:
            return (
                f"nothing is cut out of the shelf {brace.name}, so it parts the inside in two, and "
                "the case does not say what is in which; cut some of it out (open = 0.5) if the "
                "air is to pass"
            )
    return ""


def the_enclosure(case: Case) -> Enclosure | None:
    """The one enclosure of a case whose inside is one space; None if none is stated."""
    return case.enclosures[0] if len(case.enclosures) == 1 else None


def lining_depths(inside: Inside, linings: Sequence[Lining]) -> np.ndarray:
    """Thickness of the linings on every wall, those of one on each other, (wall,), m."""
    depths = np.zeros(len(inside.walls))
    for lining in linings:
        for number, wall in enumerate(inside.walls):
            if wall in lining.walls:
                depths[number] += lining.thickness
    return depths


def lining_fault(inside: Inside, linings: Sequence[Lining]) -> str:
    """Why linings do not fit into the space between the walls; "" if they do."""
    depths = lining_depths(inside, linings)
    if inside.inner(depths) is not None:
        return ""
    thickest = in_unit(float(depths.max()), "mm")
    between = in_unit(inside.least_size, "mm", digits=3)
    return (
        f"the linings, up to {thickest} thick, leave no air between walls that are {between} apart "
        "where they are nearest; take thinner ones, line fewer walls, or state that the enclosure "
        "is filled: fill = 1.0"
    )


def shelf_notes(structure: Structure) -> tuple[str, ...]:
    """What each shelf brace does to the air, in words: standing waves leave it out."""
    notes = []
    for brace in structure.braces:
        if brace.kind != "shelf":
            continue
        named = brace.name if brace.name.startswith("shelf") else f"shelf {brace.name}"
        cut = f"{named}: {100 * brace.open:.0f} % of it is cut out"
        if brace.open >= OPEN_SHELF:
            notes.append(f"{cut}, which leaves the air one; it lowers waves along the height a bit")
        else:
            notes.append(
                f"{cut}; so little parts the air above and below at higher frequencies, and the "
                "standing waves told here, which leave the shelf out, are then not those of the "
                f"box: cut out {100 * OPEN_SHELF:.0f} % or more"
            )
    return tuple(notes)
