"""What braces are to the walls they are glued to: ribs, supports along lines, struts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from acoustics.case.design.structure_model import Brace, Material, Structure
from acoustics.case.text.units import in_unit
from acoustics.conventions import GeometryError
from acoustics.structure.plate_points import Point
from acoustics.structure.plate_supports import Rib, bar_rib, stretched_strip
from acoustics.structure.wall_lines import chord, distance, holds
from acoustics.structure.walls import Wall, material_named, wall_named

LEVEL = 1e-6
"""Share of the vertical left in a wall's plane: with less it lies level and no shelf crosses it."""


@dataclass(frozen=True)
class Strut:
    """A stick between two walls: where its ends are on each, m, and the `size` of its section.

    `stiffness` EA/L in N/m, `mass` in kg. `cosine` is that between its axis and the second wall's
    normal: 1 where the walls are parallel.
    """

    walls: tuple[str, str]
    ends: tuple[Point, Point]
    size: tuple[float, float]
    stiffness: float
    mass: float
    cosine: float = 1.0


def ribs_of(walls: tuple[Wall, ...], structure: Structure, brace: Brace) -> dict[str, list[Rib]]:
    """The ribs that a brace makes on each wall it holds; none of a strut.

    A bar bends as one with the board it is glued to (`bar_rib`). A shelf keeps each wall in place
    along the line where they meet, as stiff as half its depth resists to be stretched, less what
    is cut out of it: 2Eh(1 − open)/depth a metre. It does not resist turning, and its mass is not
    counted, because it hardly moves.

    Raises:
        GeometryError: a wall that is not there, or a line beside it.
    """
    if brace.kind == "bar":
        ribs = {}
        for name in brace.walls:
            wall = wall_named(walls, name)
            ribs[name] = [_bar_rib(wall, brace, material_named(structure, brace.material))]
        return ribs
    return dict(_shelf_ribs(walls, structure, brace)) if brace.kind == "shelf" else {}


def strut_of(walls: tuple[Wall, ...], structure: Structure, brace: Brace) -> Strut:
    """The strut that a brace is, from its first wall straight in to the one it meets.

    It is a rod that is stretched and moved evenly between its ends, which take the mean deflection
    of the boards under them and do not resist their turning. So it parts walls that move against
    each other, as under pressure, and only weighs on walls that move in step.

    Raises:
        GeometryError: a wall that is not there, a place beside it, one in a cut-out, or a wall
            between the two that are named.
    """
    strut = _strut(walls, structure, brace)
    for name, end in zip(strut.walls, strut.ends, strict=True):
        for cutout in wall_named(walls, name).cutouts:
            if distance(cutout.centre, end, end) < cutout.radius:
                raise GeometryError(
                    f"brace '{brace.name}': its end on the {name} wall, at {_at(end)} from its "
                    f"middle, is in the cut-out of '{cutout.name}'; move it to where there is "
                    "board"
                )
    return strut


def _strut(walls: tuple[Wall, ...], structure: Structure, brace: Brace) -> Strut:
    first = wall_named(walls, brace.walls[0])
    inside = first.point_inside + first.frame.points(*np.array(brace.position)) - first.frame.centre
    inward = -first.frame.outward
    hits = [
        (float((other.point_inside - inside) @ other.frame.outward / slope), slope, other)
        for other in walls
        if (slope := float(other.frame.outward @ inward)) > LEVEL
    ]
    if not hits or not holds(first.corners, brace.position):
        raise GeometryError(
            f"brace '{brace.name}': at {_at(brace.position)} from the middle of the {first.name} "
            "wall no strut stands between two walls; move it inside the wall"
        )
    length, cosine, second = min(hits, key=lambda hit: hit[0])
    over = inside + length * inward - second.frame.centre
    end = (float(over @ second.frame.right), float(over @ second.frame.up))
    if second.name not in (brace.walls[1:2] or (second.name,)):
        raise GeometryError(
            f"brace '{brace.name}': from the {first.name} wall it meets the {second.name} wall, "
            f"not the {brace.walls[1]} wall; move it, or name the wall that it meets"
        )
    material = material_named(structure, brace.material)
    section = brace.width * brace.height
    return Strut(
        (first.name, second.name),
        (brace.position, end),
        (brace.width, brace.height),
        stiffness=material.along * section / length,
        mass=material.density * section * length,
        cosine=cosine,
    )


def lines_on(
    walls: tuple[Wall, ...], structure: Structure, brace: Brace
) -> dict[str, tuple[tuple[Point, Point], ...]]:
    """Where a brace touches each wall that it holds: both ends of a line, alike of a strut, m.

    Raises:
        GeometryError: as `ribs_of` and `strut_of`.
    """
    if brace.kind == "strut":
        strut = strut_of(walls, structure, brace)
        return {name: ((at, at),) for name, at in zip(strut.walls, strut.ends, strict=True)}
    ribs = ribs_of(walls, structure, brace)
    return {name: tuple((rib.start, rib.end) for rib in each) for name, each in ribs.items()}


def walls_held(walls: tuple[Wall, ...], structure: Structure, brace: Brace) -> tuple[str, ...]:
    """Names of the walls that a brace is joined to.

    Raises:
        GeometryError: as `ribs_of` and `strut_of`.
    """
    if brace.kind == "strut":
        return strut_of(walls, structure, brace).walls
    return tuple(ribs_of(walls, structure, brace))


def cutouts_met(walls: tuple[Wall, ...], structure: Structure, brace: Brace) -> tuple[str, ...]:
    """Names of what is cut out where a brace stands: it is interrupted there, or cannot stand.

    Raises:
        GeometryError: as `ribs_of` and `strut_of`.
    """
    if brace.kind == "strut":
        strut = _strut(walls, structure, brace)
        places = [*zip(strut.walls, strut.ends, strut.ends, strict=True)]
        half = max(brace.width, brace.height) / 2
    else:
        ribs = ribs_of(walls, structure, brace)
        places = [(name, rib.start, rib.end) for name, each in ribs.items() for rib in each]
        half = (brace.height if brace.kind == "shelf" else brace.width) / 2
    return tuple(
        cutout.name
        for name, start, end in places
        for cutout in wall_named(walls, name).cutouts
        if distance(cutout.centre, start, end) < cutout.radius + half
    )


def _at(point: Point) -> str:
    return f"({in_unit(point[0], 'mm', digits=4)}, {in_unit(point[1], 'mm', digits=4)})"


def _upward(wall: Wall, brace: Brace) -> bool:
    """Whether a bar runs upward on a wall."""
    return (brace.run == "lengthwise") == wall.upright


def _bar_line(wall: Wall, brace: Brace) -> tuple[Point, Point]:
    line = chord(wall.corners, 0 if _upward(wall, brace) else 1, brace.at)
    if line is None:
        raise GeometryError(
            f"brace '{brace.name}': {in_unit(brace.at, 'mm')} from the middle of the {wall.name} "
            "wall is beside it; move it inside"
        )
    return line


def _bar_rib(wall: Wall, brace: Brace, material: Material) -> Rib:
    start, end = _bar_line(wall, brace)
    upward = _upward(wall, brace)
    return bar_rib(
        start,
        end,
        material,
        width=brace.width,
        height=brace.height,
        board=wall.thickness,
        stretched=stretched_strip(
            wall.material,
            wall.thickness,
            span=distance(start, end, end),
            breadth=wall.size[0 if upward else 1],
            with_grain=upward == wall.grain_up,
        ),
    )


def _shelf_ribs(
    walls: tuple[Wall, ...], structure: Structure, brace: Brace
) -> Iterator[tuple[str, list[Rib]]]:
    inner = np.concatenate([_inner_corners(wall) for wall in walls])
    level = (inner[:, 1].min() + inner[:, 1].max()) / 2 + brace.at
    material = material_named(structure, brace.material)
    stiff = min(material.along, material.across) * brace.height * (1 - brace.open)
    found = False
    for wall in walls:
        if abs(wall.frame.up[1]) < LEVEL:
            continue
        up = (level - wall.point_inside[1]) / wall.frame.up[1]
        line = chord(wall.corners, 1, float(up))
        if line is not None:
            found = True
            depth = float(np.ptp(inner @ wall.frame.outward))
            yield wall.name, [Rib(*line, hold=2 * stiff / depth)]
    if not found:
        raise GeometryError(
            f"brace '{brace.name}': {in_unit(brace.at, 'mm')} from the middle of the inside is "
            "above or below all of it; move it inside"
        )


def _inner_corners(wall: Wall) -> np.ndarray:
    return np.asarray(
        wall.frame.points(wall.corners[:, 0], wall.corners[:, 1])
        - wall.thickness * wall.frame.outward
    )
