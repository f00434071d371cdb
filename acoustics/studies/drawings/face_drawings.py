"""Drawings of the flat faces of a cabinet that carry something."""

from __future__ import annotations

import string
from collections.abc import Iterator, Sequence

import numpy as np

from acoustics.cabinet.names import face_words
from acoustics.case.design.enclosure_model import PassiveRadiator
from acoustics.case.design.faces import Faces
from acoustics.case.design.model import Cabinet, Case, Driver
from acoustics.case.geometry.shape import body_of, faces_of
from acoustics.structure.holes import WallHole, wall_holes
from acoustics.studies.drawings.face_outline import flat_outline, seen_in, whole_outline
from acoustics.studies.drawings.model import Cut, Drawing, Line, Point, Ring
from acoustics.studies.wording import listed, tenths

ALIKE = 1e-6
"""m: outlines nearer to each other than this are one"""

FLAT_PART = "where cut or rounded edges begin"

NO_SCREWS = "Screw holes are not known: take them from the driver itself."

NO_RECESS = "How deep a frame is let in is not known either: measure the frame."

MIRROR = "The right cabinet of the pair takes the mirror image of this."

PORT_SIZE = "Ports: their inner size is drawn; the wall of a tube comes on top."


def face_drawings(case: Case) -> tuple[Drawing, ...]:
    """The front, then every other flat face that carries a driver, a port or a passive radiator.

    Outlines are those before edges are cut or rounded, so that places can be measured on a square
    board; what stays flat is a line within. Faces are seen from outside.
    """
    faces = faces_of(case.cabinet)
    holes = list(wall_holes(case, faces))
    front = faces.names[faces.index("front")]
    names = dict.fromkeys((front, *(hole.face for hole in holes)))
    return tuple(
        _face(case, faces, name, [hole for hole in holes if hole.face == name]) for name in names
    )


def _face(case: Case, faces: Faces, name: str, holes: Sequence[WallHole]) -> Drawing:
    face, frame = faces.index(name), faces.frame(name)
    outline = seen_in(frame, whole_outline(faces, face))
    corner, size = outline.min(axis=0), np.ptp(outline, axis=0)
    flat = seen_in(frame, flat_outline(faces, body_of(case.cabinet), face))
    cuts = tuple(
        cut_of(letter, hole, (hole.centre[0] - corner[0], hole.centre[1] - corner[1]))
        for letter, hole in zip(letters(len(holes)), holes, strict=True)
    )
    lines = () if _same(outline, flat) else (Line(FLAT_PART, as_points(flat - corner)),)
    return Drawing(
        name=f"face {name}",
        title=f"the {face_words(name)}, seen from outside",
        subject=case.title,
        size=(float(size[0]), float(size[1])),
        middle=(float(-corner[0]), float(-corner[1])),
        outline=as_points(outline - corner),
        cuts=cuts,
        rings=tuple(_rings(case, name, faces, corner)),
        lines=lines,
        across=places(cut.centre[0] for cut in cuts),
        upward=places(cut.centre[1] for cut in cuts),
        notes=(
            *(_cut_words(cut, hole) for cut, hole in zip(cuts, holes, strict=True)),
            *_unstated(case, holes),
            *(() if rectangular(outline) else (ROUND_IT,)),
            *_edges(case.cabinet, bool(lines)),
            *([MIRROR] if _mirrored(case, holes) else []),
            *([PORT_SIZE] if any(hole.what.startswith("port ") for hole in holes) else []),
            *([NO_SCREWS, NO_RECESS] if _carries_drivers(case, holes) else []),
        ),
    )


ROUND_IT = "Left and bottom are those of the rectangle round the outline."


def cut_of(letter: str, hole: WallHole, centre: tuple[float, float]) -> Cut:
    """The hole of a wall, its centre as in a drawing."""
    at = (float(centre[0]), float(centre[1]))
    if len(hole.size) == 1:
        return Cut(letter, hole.what, "round", at, hole.size, stated=not hole.guessed)
    corners = np.array(at) + np.array(hole.size) / 2 * [[-1, -1], [1, -1], [1, 1], [-1, 1]]
    return Cut(letter, hole.what, "polygon", at, hole.size, as_points(corners), not hole.guessed)


def letters(count: int) -> list[str]:
    """Names for so many things: a to z, then a2, b2 and so on."""
    some = string.ascii_lowercase
    return [some[i % 26] + (str(i // 26 + 1) if i >= 26 else "") for i in range(count)]


def as_points(points: np.ndarray) -> tuple[Point, ...]:
    """Points (point, 2) as plain numbers."""
    return tuple((float(x), float(y)) for x, y in points)


def places(values: Iterator[float]) -> tuple[float, ...]:
    """Ascending, those that a tenth of a millimetre does not tell apart once."""
    return tuple(sorted({round(value, 4): float(value) for value in values}.values()))


def rectangular(outline: np.ndarray) -> bool:
    """Whether an outline (corner, 2) is the rectangle round it."""
    low, high = outline.min(axis=0), outline.max(axis=0)
    aside = np.minimum(np.abs(outline - low), np.abs(outline - high))
    return len(outline) == 4 and bool(aside.max() < ALIKE)


def _same(one: np.ndarray, other: np.ndarray) -> bool:
    if len(one) != len(other):
        return False
    nearest = np.linalg.norm(one[:, None] - other[None], axis=-1).min(axis=1)
    return bool(nearest.max() < ALIKE)


def _rings(case: Case, name: str, faces: Faces, corner: np.ndarray) -> Iterator[Ring]:
    """Cone and frame of every driver and passive radiator on a face."""
    radiators = [one for box in case.enclosures for one in box.passive_radiators]
    holders: list[Driver | PassiveRadiator] = [*case.drivers, *radiators]
    for each in holders:
        if faces.names[faces.index(each.face)] != name:
            continue
        at = (float(each.position[0] - corner[0]), float(each.position[1] - corner[1]))
        yield Ring(f"frame of {each.name}", at, each.frame_diameter / 2)
        yield Ring(f"cone of {each.name}", at, each.piston_diameter / 2)


def _cut_words(cut: Cut, hole: WallHole) -> str:
    right, up = hole.centre
    left, bottom = map(tenths, cut.centre)
    shape = "round " if cut.kind == "round" else ""
    size = " × ".join(map(tenths, cut.size))
    ways = ((right, "right", "left"), (up, "up", "down"))
    parts = [
        f"{tenths(abs(way))} {ahead if way > 0 else back}"
        for way, ahead, back in ways
        if tenths(abs(way)) != "0"
    ]
    return (
        f"{cut.letter}  {cut.what}: {shape}{size}; centre {left} from left, {bottom} from bottom; "
        f"from the middle: {listed(parts) if parts else '0'}"
    )


def _unstated(case: Case, holes: Sequence[WallHole]) -> Iterator[str]:
    drivers = {driver.name for driver in case.drivers}
    for hole in holes:
        if hole.guessed:
            key = f": key drivers.{hole.what}.cutout_diameter" if hole.what in drivers else ""
            yield (
                f"{hole.what}: cut-out not stated{key}; dashed at the cone's size. "
                "Measure before you cut."
            )


def _edges(cabinet: Cabinet, told: bool) -> Iterator[str]:
    """What is done to edges, where it shows on this face."""
    if not told:
        return
    yield "The outline is that before edges are cut or rounded; a thin line shows where they begin."
    for cut in cabinet.chamfers:
        sizes = " × ".join(map(tenths, cut.setbacks))
        far = "" if cut.far_setbacks is None else ", " + " × ".join(map(tenths, cut.far_setbacks))
        yield f"{cut.edge}: chamfer {sizes}{far}{' at its far end' if far else ''}"
    for radius in dict.fromkeys(item.radius for item in cabinet.rounds):
        edges = [item.edge for item in cabinet.rounds if item.radius == radius]
        yield f"{listed(edges)}: rounded, radius {tenths(radius)}"


def _mirrored(case: Case, holes: Sequence[WallHole]) -> bool:
    return case.placement.pair and any(abs(hole.centre[0]) > ALIKE for hole in holes)


def _carries_drivers(case: Case, holes: Sequence[WallHole]) -> bool:
    drivers = {driver.name for driver in case.drivers}
    return any(hole.what in drivers for hole in holes)
