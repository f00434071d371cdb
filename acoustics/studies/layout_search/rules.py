"""What a layout must keep to: each rule by itself, with its words and by how much it is broken."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from acoustics.cabinet import Body, edge_distances, face_of, flat_parts
from acoustics.cabinet.inside import walled
from acoustics.cabinet.place import FaceFrame
from acoustics.case.model import Case, Driver
from acoustics.case.mouths import port_mouth
from acoustics.case.place_model import Moved, Place
from acoustics.case.shape import body_of, faces_of, pistons_of
from acoustics.case.units import in_unit
from acoustics.conventions import RoundoverError
from acoustics.studies.compatibility.ways import ways_of
from acoustics.studies.ground import LEAST_ROOM, MEETS, both_sides_of, is_rectangle

Shortfall = Callable[..., np.ndarray]
"""(right, up) of one driver, or of two, m → m by which a rule is broken; 0 or less: it is kept"""

AT = 1e-6
"""m: a driver this close to the reference axis is the one it starts from"""


@dataclass(frozen=True)
class Rule:
    """One rule for one moved driver, or for two: their places among the moved ones.

    `name` is what to change where it cannot be kept. `words` say what it asks, with numbers;
    `lines` are places that must not fall between those tried, (right, up), m.
    """

    name: str
    drivers: tuple[int, ...]
    words: str
    shortfall: Shortfall
    lines: tuple[tuple[float, ...], tuple[float, ...]] = ((), ())


@dataclass(frozen=True)
class Site:
    """A moved driver and its face.

    `index` among the drivers, coordinates of the face, `spans` of its flat part in these, m, and
    whether that part is a rectangle along them.
    """

    driver: Driver
    index: int
    asked: Moved
    face: int
    frame: FaceFrame
    spans: tuple[tuple[float, float], tuple[float, float]]
    rectangle: bool


def sites_of(case: Case, moved: Sequence[Moved]) -> tuple[Site, ...]:
    """The faces on which drivers are moved, as they are with the edges of a case."""
    solid, pistons = flat_parts(body_of(case.cabinet)), pistons_of(case)
    names = [driver.name for driver in case.drivers]
    found = []
    for asked in moved:
        index = names.index(asked.driver)
        driver = case.drivers[index]
        frame = faces_of(case.cabinet).frame(driver.face)
        face = face_of(solid, pistons[index])
        corners = solid.points[list(solid.faces[face].corners)] - frame.centre
        across, along = corners @ frame.right, corners @ frame.up
        spans = (float(across.min()), float(across.max())), (float(along.min()), float(along.max()))
        along_axes = is_rectangle(corners, frame)
        found.append(Site(driver, index, asked, face, frame, spans, along_axes))
    return tuple(found)


def rules_of(case: Case, place: Place, sites: Sequence[Site]) -> tuple[Rule, ...]:
    """Every rule that a question and a cabinet put on the moved drivers.

    Raises:
        RoundoverError: an ear height for a driver that does not move and is not there.
    """
    solid = flat_parts(body_of(case.cabinet))
    found = list[Rule]()
    for number, site in enumerate(sites):
        found += _on_the_face(solid, number, site, place.gap)
        found += _beside_others(case, solid, number, site, sites, place.gap)
        found += _within_spans(number, site)
        found += _behind_the_front(case, number, site)
    found += _at_ear_height(case, place, sites)
    found += _between_moved(solid, sites, place.gap)
    found += _not_far_apart(case, place, sites)
    return tuple(found)


def axis_driver(case: Case) -> int:
    """The driver of the reference axis; of none, the one that plays highest (index)."""
    point = np.array(case.reference.point)
    for index, piston in enumerate(pistons_of(case)):
        if np.hypot(*(np.array(piston.centre[:2]) - point)) <= AT:
            return index
    bands = ways_of(case).bands
    return max(range(len(bands)), key=lambda n: (bands[n].low, -case.drivers[n].piston_diameter))


def _mm(value: float) -> str:
    return in_unit(value, "mm", digits=4)


def _on_the_face(solid: Body, number: int, site: Site, gap: float) -> Iterator[Rule]:
    radius = site.driver.frame_diameter / 2
    room = max(radius + gap, site.driver.piston_diameter / 2 + LEAST_ROOM)
    apart = f" and {_mm(gap)} of wood round it" if gap else ""

    def shortfall(right: np.ndarray, up: np.ndarray) -> np.ndarray:
        points = site.frame.points(right, up)
        margin = edge_distances(solid, site.face, points).min(axis=-1)
        return room - margin + 2 * MEETS

    words = (
        f"the frame of '{site.driver.name}' ({_mm(2 * radius)}){apart} has to be on its face, "
        f"which is flat for {_mm(np.ptp(site.spans[0]))} by {_mm(np.ptp(site.spans[1]))}"
    )
    yield Rule("gap" if gap else "the driver", (number,), words, shortfall)


def _beside_others(
    case: Case, solid: Body, number: int, site: Site, sites: Sequence[Site], gap: float
) -> Iterator[Rule]:
    """Frames that stay where they are, and ports, on the same face."""
    moved = {each.index for each in sites}
    pistons = pistons_of(case)
    own = _faces(solid, site)
    for index, other in enumerate(case.drivers):
        on = {face_of(solid, pistons[index])}
        on |= both_sides_of(solid) if other.both_sides else set()
        if index not in moved and own & on:
            away = np.asarray(pistons[index].centre) - site.frame.centre
            centre = float(away @ site.frame.right), float(away @ site.frame.up)
            yield _keeps_off(
                number, site, f"'{other.name}'", centre, (0.0, 0.0), other.frame_diameter / 2, gap
            )
    faces = faces_of(case.cabinet)
    for enclosure in case.enclosures:
        for passive in enclosure.passive_radiators:
            if faces.index(passive.face) in own:
                yield _keeps_off(
                    number,
                    site,
                    f"passive radiator '{passive.name}'",
                    passive.position,
                    (0.0, 0.0),
                    passive.frame_diameter / 2,
                    gap,
                )
        for port in enclosure.ports:
            if faces.index(port.face) in own:
                mouth = port_mouth(port)
                words = f"port '{port.name}'"
                yield _keeps_off(number, site, words, mouth.centre, mouth.half, mouth.radius, gap)


def _keeps_off(
    number: int,
    site: Site,
    what: str,
    centre: tuple[float, float],
    half: tuple[float, float],
    radius: float,
    gap: float,
) -> Rule:
    """A frame keeps off a disc or a rectangle of its face, see `case.mouths.Mouth`."""
    needed = site.driver.frame_diameter / 2 + radius + gap

    def shortfall(right: np.ndarray, up: np.ndarray) -> np.ndarray:
        across = np.maximum(np.abs(right - centre[0]) - half[0], 0.0)
        along = np.maximum(np.abs(up - centre[1]) - half[1], 0.0)
        return needed - np.hypot(across, along) + 2 * MEETS

    words = (
        f"the frame of '{site.driver.name}' has to keep clear of {what}: {_mm(needed)} from its "
        "edge"
        if any(half)
        else f"the frame of '{site.driver.name}' has to keep clear of {what}: "
        f"{_mm(needed)} from centre to centre"
    )
    return Rule(f"the place of {what}", (number,), words, shortfall)


def _within_spans(number: int, site: Site) -> Iterator[Rule]:
    for axis, (way, span) in enumerate((("right", site.asked.right), ("up", site.asked.up))):
        if span is None:
            continue
        low, high = span
        lines: list[tuple[float, ...]] = [(), ()]
        lines[axis] = (low, (low + high) / 2, high)

        def shortfall(
            right: np.ndarray, up: np.ndarray, axis: int = axis, span: tuple[float, float] = span
        ) -> np.ndarray:
            value = (right, up)[axis]
            return np.maximum(span[0] - value, value - span[1]) - MEETS

        name = f"[place.drivers.{site.driver.name}] {way}"
        words = f"{name} allows {_mm(low)} to {_mm(high)}"
        yield Rule(name, (number,), words, shortfall, (lines[0], lines[1]))


def _behind_the_front(case: Case, number: int, site: Site) -> Iterator[Rule]:
    """The cut-out clears the inside of the walls: the basket goes through it."""
    thickness = case.cabinet.wall_thickness
    if thickness is None or case.cabinet.shape == "plate":
        return
    body = walled(body_of(case.cabinet))
    normal = site.frame.outward
    face = int(np.argmax(body.normals @ normal))
    hole = site.driver.cutout_diameter or site.driver.piston_diameter
    others = np.delete(np.arange(len(body.faces)), face)
    in_plane = np.linalg.norm(
        body.normals[others] - np.outer(body.normals[others] @ normal, normal), axis=1
    )
    beside = others[in_plane > AT]
    slant = in_plane[in_plane > AT]

    def shortfall(right: np.ndarray, up: np.ndarray) -> np.ndarray:
        inner = site.frame.points(right, up) - thickness * normal
        room = body.offsets[beside] - thickness - inner @ body.normals[beside].T
        answer: np.ndarray = hole / 2 - (room / slant).min(axis=-1) - MEETS
        return answer

    words = (
        f"the cut-out of '{site.driver.name}' ({_mm(hole)}) has to clear the inside of walls that "
        f"are {_mm(thickness)} thick, or the basket would stand on one"
    )
    yield Rule("cabinet.wall_thickness", (number,), words, shortfall)


def _at_ear_height(case: Case, place: Place, sites: Sequence[Site]) -> Iterator[Rule]:
    if place.ear_height is None:
        return
    low, high = place.ear_height
    index = axis_driver(case)
    name = case.drivers[index].name
    number = next((n for n, site in enumerate(sites) if site.index == index), None)
    level = case.cabinet.floor_level
    if number is None:
        height = pistons_of(case)[index].centre[1] - level
        if low - MEETS <= height <= high + MEETS:
            return
        raise RoundoverError(
            f"{case.path or case.title}: the ear height asks for {_mm(low)} to {_mm(high)}, and "
            f"'{name}', which does not move, is {_mm(height)} above the floor; let it move, or "
            "change cabinet.base_height"
        )
    frame = sites[number].frame

    def shortfall(right: np.ndarray, up: np.ndarray) -> np.ndarray:
        height = frame.points(right, up)[..., 1] - level
        return np.maximum(low - height, height - high) - MEETS

    if abs(frame.up[1]) < AT:
        said, lines = "", tuple[float, ...]()
    else:
        lines = tuple(
            float((at + level - frame.centre[1]) / frame.up[1])
            for at in (low, (low + high) / 2, high)
        )
        said = f", which is {_mm(lines[0])} to {_mm(lines[-1])} up from the face's middle"
    words = f"the ear height asks for {_mm(low)} to {_mm(high)} above the floor of '{name}'{said}"
    yield Rule("[place] ear_height", (number,), words, shortfall, ((), lines))


def _between_moved(solid: Body, sites: Sequence[Site], gap: float) -> Iterator[Rule]:
    for number, site in enumerate(sites):
        for other_number in range(number):
            other = sites[other_number]
            if _faces(solid, site) & _faces(solid, other):
                yield _clear_of(other_number, number, other, site, gap)


def _clear_of(first: int, second: int, one: Site, other: Site, gap: float) -> Rule:
    needed = (one.driver.frame_diameter + other.driver.frame_diameter) / 2 + gap

    def shortfall(
        right: np.ndarray, up: np.ndarray, other_right: np.ndarray, other_up: np.ndarray
    ) -> np.ndarray:
        away = other.frame.points(other_right, other_up) - one.frame.points(right, up)
        away = away - (away @ one.frame.outward)[..., None] * one.frame.outward
        return needed - np.linalg.norm(away, axis=-1) + 2 * MEETS

    words = (
        f"the frames of '{one.driver.name}' and '{other.driver.name}' have to keep clear of each "
        f"other: {_mm(needed)} from centre to centre"
    )
    return Rule("gap" if gap else "one of the drivers", (first, second), words, shortfall)


def _not_far_apart(case: Case, place: Place, sites: Sequence[Site]) -> Iterator[Rule]:
    if place.apart is None:
        return
    numbers = {site.index: n for n, site in enumerate(sites)}
    pistons, most = pistons_of(case), place.apart
    for lower, upper in _handing_over(case):
        # The moved ones in their order, so that rules about the same two have them alike.
        inside = sorted(numbers[index] for index in (lower, upper) if index in numbers)
        names = [case.drivers[index].name for index in (lower, upper)]
        words = f"apart allows at most {_mm(most)} between '{names[0]}' and '{names[1]}'"
        if len(inside) == 2:
            frames = sites[inside[0]].frame, sites[inside[1]].frame

            def both(
                right: np.ndarray,
                up: np.ndarray,
                other_right: np.ndarray,
                other_up: np.ndarray,
                frames: tuple[FaceFrame, FaceFrame] = frames,
            ) -> np.ndarray:
                away = frames[1].points(other_right, other_up) - frames[0].points(right, up)
                answer: np.ndarray = np.linalg.norm(away, axis=-1) - most - MEETS
                return answer

            yield Rule("[place] apart", (inside[0], inside[1]), words, both)
        elif inside:
            still = lower if upper in numbers else upper

            def single(
                right: np.ndarray,
                up: np.ndarray,
                frame: FaceFrame = sites[inside[0]].frame,
                centre: tuple[float, float, float] = pistons[still].centre,
            ) -> np.ndarray:
                away = frame.points(right, up) - np.asarray(centre)
                answer: np.ndarray = np.linalg.norm(away, axis=-1) - most - MEETS
                return answer

            yield Rule("[place] apart", (inside[0],), words, single)


def _handing_over(case: Case) -> list[tuple[int, int]]:
    """Pairs of drivers, lower and upper; without corners that tell, neighbours by size."""
    pairs = [(pair.lower, pair.upper) for pair in ways_of(case).pairs]
    if pairs:
        return pairs
    order = sorted(range(len(case.drivers)), key=lambda n: -case.drivers[n].piston_diameter)
    return list(pairwise(order))


def _faces(solid: Body, site: Site) -> set[int]:
    return {site.face} | (both_sides_of(solid) if site.driver.both_sides else set())
