"""Braces to try on a wall: those of the trade, and those that go between what is cut out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain, product
from typing import Any

import numpy as np

from acoustics.cabinet.convex import common
from acoustics.case.checks.brace_checks import brace_problems, duct_problems
from acoustics.case.design.enclosure_model import Enclosure
from acoustics.case.design.model import Case
from acoustics.case.design.structure_model import Brace, Run, Structure
from acoustics.case.geometry.brace_solids import region_of
from acoustics.case.geometry.shell import Shell, own_walls, shell_of
from acoustics.conventions import GeometryError
from acoustics.structure.wall_braces import cutouts_met, walls_held
from acoustics.structure.wall_effects import BAR_HEIGHT
from acoustics.structure.walls import Wall

ROOM = 0.005
"""m between a brace and a cut-out at least (common practice, no source)"""

BETWEEN = 3
"""gaps between cut-outs that are tried, the widest first"""

APART = 0.08
"""m: nearer to a brace of its kind than this none is added (common practice, no source)"""

LEAST_STRUT = 0.018
"""m: a thinner one across the inside would ring by itself (common practice, no source)"""

FINEST = 0.001
"""m: nobody glues finer"""

EQUAL = 1e-6
"""m: walls that differ by less are twins"""


@dataclass(frozen=True)
class Candidate:
    """Braces that go together: what they are called in words, and where."""

    what: str
    braces: tuple[Brace, ...]


def shell_with(case: Case, structure: Structure) -> Shell:
    """The shell of a case with the walls of some structure."""
    return shell_of(case.cabinet, own_walls(structure.wall_materials))


def twin_of(wall: Wall, walls: Sequence[Wall]) -> Wall | None:
    """The opposite wall that is the same, neither with anything cut out; None if there is none."""
    for other in walls:
        opposite = float(other.frame.outward @ wall.frame.outward) < -0.999
        if (
            opposite
            and not (wall.cutouts or other.cutouts)
            and np.allclose(other.size, wall.size, atol=EQUAL)
            and len(other.corners) == len(wall.corners)
            and (other.thickness, other.material) == (wall.thickness, wall.material)
        ):
            return other
    return None


def candidates(
    case: Case, structure: Structure, walls: tuple[Wall, ...], wall: Wall
) -> Iterator[Candidate]:
    """Braces that may stand on a wall, clear of what is cut out of it and of those of their kind.

    Whether they run into what is behind the wall `buildable` tells, which takes longer.

    Bars have the section of `brace_options`. A twin gets the same bar. Where several enclosures
    part the inside, nobody knows where a bar lengthwise would meet the boards between them, so none
    is tried.
    """
    shell = shell_with(case, structure)
    for each in _drawn(wall, twin_of(wall, walls), len(case.enclosures) > 1):
        placed = tuple(replace(one, enclosure=_owner(case, shell, one)) for one in each.braces)
        if _clear(structure, walls, placed):
            yield replace(each, braces=placed)


def _drawn(wall: Wall, twin: Wall | None, parted: bool) -> Iterator[Candidate]:
    low, high = wall.corners.min(axis=0), wall.corners.max(axis=0)
    along = 1 if wall.upright else 0
    middle, length = (low + high) / 2, wall.size[along]
    board = wall.thickness
    name = wall.name if twin is None else f"{wall.name} and {twin.name}"

    def bars(run: Run, places: Sequence[float], what: str) -> Candidate:
        made = []
        for number, at in enumerate(places, 1):
            for one in (wall, twin):
                if one is None:
                    continue
                # Lengthwise, what is right on one wall is left on the one across.
                where = -at if one is twin and run == "lengthwise" and wall.upright else at
                title = f"{name} bar" if len(places) == 1 else f"{name} bar {number}"
                made.append(
                    Brace(
                        title if twin is None else f"{title} {one.name}",
                        "bar",
                        (one.name,),
                        width=board,
                        height=_fine(BAR_HEIGHT * board),
                        run=run,
                        at=_fine(where),
                        open=0.0,
                    )
                )
        return Candidate(what, tuple(made))

    if not parted:
        across = float(middle[1 - along])
        yield bars("lengthwise", [across], "a bar lengthwise")
        if wall.cutouts:
            offset = _beside(wall, 1 - along, board)
            if offset is not None:
                yield bars("lengthwise", [offset], "a bar lengthwise, beside what is cut out")
    yield bars("crosswise", [float(middle[along])], "a bar crosswise")
    thirds = [float(middle[along]) + k * length / 6 for k in (-1, 1)]
    yield bars("crosswise", thirds, "two bars crosswise")
    gaps = _gaps(wall, along) if wall.cutouts else []
    for at in gaps[:BETWEEN]:
        yield bars("crosswise", [at], "a bar crosswise, between what is cut out")
    for cutout in wall.cutouts:
        # Close to where a driver pushes, on both sides of it.
        off = cutout.radius + board / 2 + ROOM + FINEST
        sides = [cutout.centre[along] - off, cutout.centre[along] + off]
        yield bars("crosswise", sides, f"two bars crosswise, on both sides of {cutout.name}")
    centre = float(middle[1 - along])
    for at in (float(middle[along]), *gaps[:BETWEEN]):
        place = (_fine(centre), _fine(at)) if along == 1 else (_fine(at), _fine(centre))
        yield Candidate(
            "a strut to the opposite wall",
            (
                Brace(
                    f"{wall.name} strut",
                    "strut",
                    (wall.name,),
                    width=max(board, LEAST_STRUT),
                    height=_fine(BAR_HEIGHT * max(board, LEAST_STRUT)),
                    position=place,
                    open=0.0,
                ),
            ),
        )


def _fine(at: float) -> float:
    return round(at / FINEST) * FINEST + 0.0


def _gaps(wall: Wall, along: int) -> list[float]:
    """Middles of what cut-outs leave free along a wall, the widest gap first, m."""
    taken = sorted(
        (each.centre[along] - each.radius, each.centre[along] + each.radius)
        for each in wall.cutouts
    )
    low, high = wall.corners[:, along].min(), wall.corners[:, along].max()
    gaps, end = [], float(low)
    for start, stop in (*taken, (float(high), float(high))):
        if start - end > wall.thickness + 2 * ROOM:
            gaps.append((start - end, (start + end) / 2))
        end = max(end, stop)
    return [at for _, at in sorted(gaps, reverse=True)]


def _beside(wall: Wall, across: int, board: float) -> float | None:
    """Where a bar runs past all cut-outs at the side with more room, m; None if there is none."""
    low, high = wall.corners[:, across].min(), wall.corners[:, across].max()
    left = min(each.centre[across] - each.radius for each in wall.cutouts)
    right = max(each.centre[across] + each.radius for each in wall.cutouts)
    room, sign = max((high - right, 1.0), (left - low, -1.0))
    if room < board + 2 * ROOM:
        return None
    return float(right + room / 2 if sign > 0 else left - room / 2)


def _owner(case: Case, shell: Shell, brace: Brace) -> str:
    """Of several enclosures the one whose radiator is nearest to the brace's middle."""
    if len(case.enclosures) < 2:
        return ""
    frame = shell.faces.frame(brace.walls[0])
    place = brace.position
    if brace.kind == "bar":
        corners = shell.body.points[
            list(shell.body.faces[shell.faces.index(brace.walls[0])].corners)
        ]
        upright = np.ptp(corners @ frame.up) >= np.ptp(corners @ frame.right) - EQUAL
        place = (0.0, brace.at) if (brace.run == "crosswise") == upright else (brace.at, 0.0)
    point = np.array(frame.point(*place))
    return min(case.enclosures, key=lambda each: _distance(case, shell, each, point)).name


def _distance(case: Case, shell: Shell, enclosure: Enclosure, point: np.ndarray) -> float:
    found = [(each.face, each.position) for each in map(case.driver, enclosure.drivers)]
    found += [(each.face, each.position) for each in enclosure.ports]
    found += [(each.face, each.position) for each in enclosure.passive_radiators]
    places = [shell.faces.frame(face).point(*position) for face, position in found]
    return min(float(np.linalg.norm(np.array(place) - point)) for place in places)


def _clear(structure: Structure, walls: tuple[Wall, ...], braces: tuple[Brace, ...]) -> bool:
    """Whether braces keep clear of what is cut out, and of those of their kind."""
    try:
        for brace in braces:
            if cutouts_met(walls, structure, replace(brace, width=brace.width + 2 * ROOM)):
                return False
            held = walls_held(walls, structure, brace)
            if any(_near(brace, each) for each in structure.braces if {*each.walls} & {*held}):
                return False
    except GeometryError:
        return False
    return True


def buildable(case: Case, structure: Structure, braces: tuple[Brace, ...]) -> bool:
    """Whether braces can stand: by the checks of a case, and clear of those that are there.

    Braces may cross where they are notched, which halves what either does; none is proposed there.
    """
    shell = shell_with(case, structure)
    for brace, other in product(braces, structure.braces):
        if common(region_of(shell, brace), region_of(shell, other)).solid() is not None:
            return False
    numbered = list(enumerate(braces))
    drivers: dict[str, Any] = {
        driver.name: {
            "face": driver.face,
            "position": driver.position,
            "piston_diameter": driver.piston_diameter,
            "cutout_diameter": driver.cutout_diameter,
            "mounting_depth": driver.mounting_depth,
        }
        for driver in case.drivers
    }
    names = [each.name for each in case.enclosures]
    problems = [
        brace_problems(shell, numbered, drivers, names),
        *(
            duct_problems(shell, enclosure, port, numbered)
            for enclosure in case.enclosures
            for port in enclosure.ports
        ),
    ]
    return next(chain.from_iterable(problems), None) is None


def _near(brace: Brace, other: Brace) -> bool:
    if brace.kind != other.kind:
        return False
    if brace.kind == "bar":
        same = brace.walls == other.walls and brace.run == other.run
        return same and abs(brace.at - other.at) < APART
    return float(np.hypot(*np.subtract(brace.position, other.position))) < APART
