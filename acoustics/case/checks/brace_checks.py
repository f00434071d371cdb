"""Checks of braces: where they stand, and what they run into."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from acoustics.cabinet.body import PLANE_TOLERANCE
from acoustics.cabinet.convex import Region, common, slab
from acoustics.case.design.enclosure_model import Enclosure, Port
from acoustics.case.design.structure_model import Brace
from acoustics.case.geometry.brace_solids import inside_of, region_of, spans_of
from acoustics.case.geometry.mouths import Mouth, port_mouth
from acoustics.case.geometry.shell import Shell
from acoustics.case.messages.faults import Problem
from acoustics.case.tables.sound import Values
from acoustics.case.text.lines import Path
from acoustics.case.text.phrases import choice, listed
from acoustics.case.text.shown import short_name
from acoustics.case.text.units import in_unit

ROUND = 24
"""sides of the prism that stands for a round hole or duct"""

Numbered = tuple[int, Brace]
"""A brace with the index of its table."""


def brace_problems(
    shell: Shell,
    braces: Sequence[Numbered],
    drivers: Mapping[str, Values],
    enclosures: Sequence[str],
) -> Iterator[Problem]:
    """Braces outside the inside, not between walls, in the way of something, or in no enclosure.

    `drivers` have the names of their faces.
    """
    holes = list(_driver_holes(shell, drivers)) if braces else []
    told = set[int]()  # the bars of one table are told once
    for index, brace in braces:
        if index in told:
            continue
        at: Path = ("structure", "braces", index)
        wrong = list(_place_problems(shell, at, brace))
        wrong = wrong or [each for hole in holes for each in _meets(shell, at, brace, hole)]
        wrong += _owner_problems(at, brace, enclosures)
        yield from wrong
        if wrong:
            told.add(index)
    yield from _same_place(shell, braces)


def _same_place(shell: Shell, braces: Sequence[Numbered]) -> Iterator[Problem]:
    """Braces of one kind that run side by side in each other; those that cross may."""
    before: dict[object, list[Brace]] = {}
    told = set[int]()
    for index, brace in braces:
        key = (brace.kind, brace.walls[:1], brace.run)
        for other in before.setdefault(key, []):
            depths = [
                min(high, most) - max(low, least)
                for (_, _, low, high), (_, _, least, most) in zip(
                    spans_of(shell, brace), spans_of(shell, other), strict=True
                )
            ]
            if min(depths) > 2 * PLANE_TOLERANCE and index not in told:
                told.add(index)
                yield Problem(
                    ("structure", "braces", index),
                    f"the {_called(brace)} is where the {_called(other)} is already; move one of "
                    "them, or take it out",
                )
        before[key].append(brace)


def duct_problems(
    shell: Shell, enclosure: Enclosure, port: Port, braces: Iterable[Numbered]
) -> Iterator[Problem]:
    """Braces that a port's duct runs into."""
    duct = _hole(
        shell,
        port.face,
        port_mouth(port),
        port.length,
        f"the duct of the port '{port.name}' of '{enclosure.name}' "
        f"({in_unit(port.length, 'mm', digits=3)} long)",
    )
    for index, brace in braces:
        yield from _meets(shell, ("structure", "braces", index), brace, duct)


def _place_problems(shell: Shell, at: Path, brace: Brace) -> Iterator[Problem]:
    if brace.kind == "strut":
        wrong = list(_strut_problems(shell, at, brace))
        if wrong:
            yield from wrong
            return
    solid = region_of(shell, brace).solid()
    where = "position" if brace.kind == "strut" else "at"
    if solid is None:
        yield Problem(
            (*at, where),
            f"the {_called(brace)} lies outside the inside of the cabinet; move it toward the "
            "middle",
        )
        return
    for what, way, low, high in spans_of(shell, brace):
        along = solid.points @ way
        excess = max(along.min() - low, high - along.max())
        if excess > 2 * PLANE_TOLERANCE:
            too_high = brace.kind == "bar" and what == "height"
            yield Problem(
                (*at, "height" if too_high else where),
                f"the {_called(brace)} reaches {in_unit(excess, 'mm', digits=3)} beyond the inside "
                "of the cabinet; "
                + ("make it lower" if too_high else "move it that far toward the middle")
                + (", or take a narrower one" if what == "width" else ""),
            )
            return


def _called(brace: Brace) -> str:
    """Its kind and name, such as "shelf 'ring'"; a name that says the kind is enough."""
    if brace.name.startswith(brace.kind):
        return brace.name
    return f"{brace.kind} '{brace.name}'"


def _strut_problems(shell: Shell, at: Path, brace: Brace) -> Iterator[Problem]:
    """A strut that does not stand between two walls that face each other."""
    first, *others = brace.walls
    met = list(dict.fromkeys(_walls_met(shell, brace)))
    if len(others) > 1:
        yield Problem((*at, "walls"), "a strut stands between two walls; name the two")
        return
    normals, faces = shell.body.normals, shell.faces
    if others and normals[faces.index(first)] @ normals[faces.index(others[0])] > -FACING:
        yield Problem(
            (*at, "walls"),
            f"the {first} and the {others[0]} are not opposite, and a strut stands between walls "
            f"that face each other; name the {first} and the {listed(met)}",
        )
    elif len(met) > 1 or (others and met != others):
        yield Problem(
            (*at, "position"),
            f"straight in from there on the {first} the strut meets the {listed(met)}"
            + (f", not the {others[0]} alone" if others else "")
            + "; move it",
        )


FACING = 0.7
"""cosine of the angle between walls, one turned round, from which on they face each other"""


def _walls_met(shell: Shell, brace: Brace) -> Iterator[str]:
    """The walls that the four edges of a strut meet, going straight in from the first."""
    first = brace.walls[0]
    frame, own = shell.faces.frame(first), shell.faces.index(first)
    normals, offsets = inside_of(shell)
    names = (*shell.faces.names, *["rounded edge"] * (len(offsets) - len(shell.faces.names)))
    right, up = brace.position
    for across, along in ((-1, -1), (1, -1), (1, 1), (-1, 1)):
        point = np.array(
            frame.point(right + across * brace.width / 2, up + along * brace.height / 2)
        )
        slopes = -normals @ frame.outward
        ahead = (slopes > PLANE_TOLERANCE) & (np.arange(len(offsets)) != own)
        depths = np.full(len(offsets), np.inf)
        depths[ahead] = ((offsets - normals @ point) / np.where(ahead, slopes, 1.0))[ahead]
        yield names[int(depths.argmin())]


HOLE = 1e-3
"""m behind the wall that must be free where nothing is said of a driver's depth: the hole itself"""


class _Hole(NamedTuple):
    """What goes through a wall and straight in: what it is called, its region and corners."""

    words: str
    region: Region
    points: np.ndarray


def _driver_holes(shell: Shell, drivers: Mapping[str, Values]) -> Iterator[_Hole]:
    for name, driver in drivers.items():
        if not {"face", "position", "piston_diameter"} <= driver.keys():
            continue
        right, up = driver["position"]
        across = driver.get("cutout_diameter") or driver["piston_diameter"]
        wall = shell.wall_behind(driver["face"])
        depth = max(driver.get("mounting_depth") or 0.0, wall + HOLE)
        words = (
            f"the driver '{name}' ({in_unit(across, 'mm')} across, "
            f"{in_unit(depth, 'mm', digits=3)} deep from the front of its wall)"
        )
        yield _hole(shell, driver["face"], Mouth((right, up), radius=across / 2), depth, words)


def _hole(shell: Shell, face: str, mouth: Mouth, depth: float, words: str) -> _Hole:
    """What goes through a wall and straight in, from its outer side."""
    frame = shell.faces.frame(face)
    centre = np.array(frame.point(*mouth.centre))
    surface = float(frame.outward @ centre)
    ends = slab(frame.outward, surface - depth, surface)
    if mouth.radius:
        turns = 2 * np.pi * np.arange(ROUND) / ROUND
        ways = np.cos(turns)[:, None] * frame.right + np.sin(turns)[:, None] * frame.up
        sides = [Region(ways, ways @ centre + mouth.radius)]
    else:
        sides = [
            slab(way, way @ centre - half, way @ centre + half)
            for way, half in zip((frame.right, frame.up), mouth.half, strict=True)
        ]
    region = common(ends, *sides)
    solid = region.solid()
    assert solid is not None
    return _Hole(words, region, solid.points)


def _meets(shell: Shell, at: Path, brace: Brace, hole: _Hole) -> Iterator[Problem]:
    """A brace in the way of what goes through a wall, and how far it must move to be free of it."""
    moves = []
    for what, way, low, high in spans_of(shell, brace):
        along = hole.points @ way
        overlap = min(high - along.min(), along.max() - low)
        if overlap <= 0:  # far apart, which is told faster than by their common part
            return
        if brace.kind != "bar" or what != "height":
            moves.append(overlap)
    if common(region_of(shell, brace), hole.region).solid() is None:
        return
    yield Problem(
        (*at, "position" if brace.kind == "strut" else "at"),
        f"the {_called(brace)} runs into {hole.words}; move it by at least "
        f"{in_unit(min(moves), 'mm', digits=3)}, or move the other",
    )


def _owner_problems(at: Path, brace: Brace, enclosures: Sequence[str]) -> Iterator[Problem]:
    """A brace in an enclosure that is not there, or in one of several without saying which."""
    if brace.enclosure and brace.enclosure not in enclosures:
        yield Problem(
            (*at, "enclosure"),
            f"there is no enclosure '{short_name(brace.enclosure)}'; "
            + (choice(enclosures, brace.enclosure) if enclosures else "leave the key out"),
        )
    parts = brace.kind == "shelf" and brace.open == 0
    if not brace.enclosure and len(enclosures) > 1 and not parts:
        yield Problem(
            (*at, "enclosure"),
            f"there are several enclosures, and the {_called(brace)} takes volume of one of them; "
            f'say of which, for example enclosure = "{enclosures[0]}"',
        )
