"""Checks of the seats: inside the room, clear of the cabinets, ears at heights of their own."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from acoustics.case.checks.plan import MEETS, Plan, Surfaces
from acoustics.case.design.model import SurfaceName
from acoustics.case.messages.faults import Problem
from acoustics.case.tables.room_tables import SURFACES, OtherSeatTable, SeatTable
from acoustics.case.tables.sound import sound_values
from acoustics.case.text.lines import Path
from acoustics.case.text.units import LENGTH, in_unit, parse
from acoustics.conventions import MAIN_SEAT

CLEARANCE = 50e-3
"""m: nearer to a cabinet than this no ears are predicted."""


class Place(NamedTuple):
    """A seat as far as it is known (m), and where it stands in the file."""

    path: Path
    distance: float | None
    aside: float | None
    inherits: bool = False
    """whether the distance is the main seat's"""


def places_of(seat: object, faulty: list[Path]) -> list[Place]:
    """The main seat and the others; `seat` is [seat] as it stands in the file, whatever it is."""
    if not isinstance(seat, dict):
        return []
    main = sound_values(SeatTable, seat, ("seat",), faulty)
    found = [Place(("seat",), main.get("distance"), main.get("aside"))]
    others = {} if ("seat", "others") in faulty else seat.get("others", {})
    for name, raw in others.items():
        path = ("seat", "others", name)
        place = sound_values(OtherSeatTable, raw, path, faulty)
        inherits = "distance" in place and place["distance"] is None
        distance = found[0].distance if inherits else place.get("distance")
        found.append(Place(path, distance, place.get("aside"), inherits))
    return found


def ears_of(seat: object, faulty: list[Path]) -> dict[int, float]:
    """The ear heights (m) that are sound, by their position in the list."""
    at = ("seat", "ear_heights")
    written = seat.get("ear_heights") if isinstance(seat, dict) else None
    if not isinstance(written, list) or at in faulty:
        return {}
    return {
        index: parse(height, LENGTH)
        for index, height in enumerate(written)
        if (*at, index) not in faulty
    }


def name_problems(seat: object) -> Iterator[Problem]:
    """Another seat with the name of the main one."""
    others = seat.get("others") if isinstance(seat, dict) else None
    for name in others if isinstance(others, dict) else ():
        if name.strip().casefold() == MAIN_SEAT:
            yield Problem(
                ("seat", "others", name),
                f"'{MAIN_SEAT}' is the seat of [seat] itself; give this one another name",
            )


def ear_problems(ears: Mapping[int, float], surfaces: Surfaces) -> Iterator[Problem]:
    """Ear heights that are there twice, or not below the ceiling."""
    at = ("seat", "ear_heights")
    heights = list(ears.values())
    twice = [height for height in heights if heights.count(height) > 1]
    if twice:
        yield Problem(at, f"{in_unit(twice[0], 'm')} is there twice; write each height once")
    ceiling = surfaces.get("ceiling", {}).get("height")
    for index, height in ears.items():
        if ceiling is not None and height > ceiling - MEETS:
            yield Problem(
                (*at, index),
                f"ears at {in_unit(height, 'm')} are not below the ceiling "
                f"({in_unit(ceiling, 'm')}); write a lower height or a higher ceiling",
            )


def seat_problems(places: list[Place], plan: Plan | None, surfaces: Surfaces) -> Iterator[Problem]:
    """Seats beyond a wall, in a cabinet or too near to one."""
    for place in places:
        yield from _beyond(place, surfaces)
        if plan is not None and place.distance is not None and place.aside is not None:
            yield from _near(place, plan.clearance(place.aside, place.distance))


def _beyond(place: Place, surfaces: Surfaces) -> Iterator[Problem]:
    aside = place.aside
    # A distance that is the main seat's is said once, there.
    ahead = None if place.inherits else place.distance
    ways: dict[SurfaceName, tuple[str, float | None, str]] = {
        "rear wall": ("distance", ahead, "ahead"),
        "left wall": ("aside", None if aside is None else -aside, "to the left"),
        "right wall": ("aside", aside, "to the right"),
    }
    for surface, (written, far, way) in ways.items():
        limit = surfaces.get(surface, {}).get("distance")
        if limit is not None and far is not None and far > limit - MEETS:
            where = "at" if far < limit + MEETS else f"{in_unit(far - limit, 'm')} beyond"
            yield Problem(
                (*place.path, written),
                f"{in_unit(far, 'm')} {way}, the seat is {where} the {surface} "
                f"({in_unit(limit, 'm')}); move the seat or change {SURFACES[surface]}.distance",
            )


def _near(place: Place, clearance: float) -> Iterator[Problem]:
    if clearance < CLEARANCE - MEETS:
        found = "inside a cabinet"
        if clearance > MEETS:
            found = f"{in_unit(clearance, 'mm', digits=3)} from a cabinet"
        yield Problem(
            (*place.path, "distance"),
            f"seen from above the ears are {found}, and must be {in_unit(CLEARANCE, 'mm')} away; "
            "move the seat or the cabinets",
        )
