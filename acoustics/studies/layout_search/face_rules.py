"""What the face asks of a moved driver: room for its frame, and behind it for its basket."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from acoustics.cabinet import Body, edge_distances, face_of
from acoustics.cabinet.inside import walled
from acoustics.case.design.model import Case
from acoustics.case.geometry.mouths import port_mouth
from acoustics.case.geometry.shape import body_of, faces_of, pistons_of
from acoustics.studies.driver_map.face_places import LEAST_ROOM, MEETS, both_sides_of
from acoustics.studies.layout_search.rule import AT, Rule, in_mm
from acoustics.studies.layout_search.sites import Site

SMALLER_GAP = "a smaller gap in [place]"


def on_the_face(solid: Body, number: int, site: Site, gap: float) -> Iterator[Rule]:
    """The frame, and the wood asked for round it, within the flat part of the face."""
    radius = site.driver.frame_diameter / 2
    room = max(radius + gap, site.driver.piston_diameter / 2 + LEAST_ROOM)
    apart = f" and {in_mm(gap)} of wood round it" if gap else ""

    def shortfall(right: np.ndarray, up: np.ndarray) -> np.ndarray:
        points = site.frame.points(right, up)
        margin = edge_distances(solid, site.face, points).min(axis=-1)
        return room - margin + _apart(gap)

    words = (
        f"the frame of '{site.driver.name}' ({in_mm(2 * radius)}){apart} has to be on its face, "
        f"which is flat for {in_mm(np.ptp(site.spans[0]))} by {in_mm(np.ptp(site.spans[1]))}"
    )
    ways = ("a driver with a smaller frame", "a larger face")
    yield Rule((*_gap_first(gap), *ways), (number,), words, shortfall)


def beside_others(
    case: Case, solid: Body, number: int, site: Site, sites: Sequence[Site], gap: float
) -> Iterator[Rule]:
    """Frames that stay where they are, and ports, on the same face."""
    moved = {each.index for each in sites}
    pistons = pistons_of(case)
    own = _faces(solid, site)
    for index, other in enumerate(case.drivers):
        if index in moved:
            continue
        on = {face_of(solid, pistons[index])}
        on |= both_sides_of(solid) if other.both_sides else set()
        if own & on:
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


def behind_the_front(case: Case, number: int, site: Site) -> Iterator[Rule]:
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
        f"the cut-out of '{site.driver.name}' ({in_mm(hole)}) has to clear the inside of walls "
        f"that are {in_mm(thickness)} thick, or the basket would stand on one"
    )
    ways = (
        "a smaller cabinet.wall_thickness",
        "a wider cabinet",
        "a driver with a smaller cut-out",
    )
    yield Rule(ways, (number,), words, shortfall)


def between_moved(solid: Body, sites: Sequence[Site], gap: float) -> Iterator[Rule]:
    """Frames of moved drivers keep clear of each other."""
    for number, site in enumerate(sites):
        for other_number in range(number):
            other = sites[other_number]
            if _faces(solid, site) & _faces(solid, other):
                yield _clear_of(other_number, number, other, site, gap)


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
        return needed - np.hypot(across, along) + _apart(gap)

    words = (
        f"the frame of '{site.driver.name}' has to keep clear of {what}: {in_mm(needed)} from its "
        "edge to the driver's centre"
        if any(half)
        else f"the frame of '{site.driver.name}' has to keep clear of {what}: "
        f"{in_mm(needed)} from centre to centre"
    )
    ways = (*_gap_first(gap), f"another place for {what}")
    return Rule(ways, (number,), words, shortfall)


def _clear_of(first: int, second: int, one: Site, other: Site, gap: float) -> Rule:
    needed = (one.driver.frame_diameter + other.driver.frame_diameter) / 2 + gap

    def shortfall(
        right: np.ndarray, up: np.ndarray, other_right: np.ndarray, other_up: np.ndarray
    ) -> np.ndarray:
        away = other.frame.points(other_right, other_up) - one.frame.points(right, up)
        away = away - (away @ one.frame.outward)[..., None] * one.frame.outward
        return needed - np.linalg.norm(away, axis=-1) + _apart(gap)

    words = (
        f"the frames of '{one.driver.name}' and '{other.driver.name}' have to keep clear of each "
        f"other: {in_mm(needed)} from centre to centre"
    )
    ways = (*_gap_first(gap), "a driver with a smaller frame")
    return Rule(ways, (first, second), words, shortfall)


def _apart(gap: float) -> float:
    """What is kept beyond a gap, m: frames may not touch, and wood may be just as asked."""
    return -MEETS if gap else 2 * MEETS


def _gap_first(gap: float) -> tuple[str, ...]:
    return (SMALLER_GAP,) if gap else ()


def _faces(solid: Body, site: Site) -> set[int]:
    return {site.face} | (both_sides_of(solid) if site.driver.both_sides else set())
