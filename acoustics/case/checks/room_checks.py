"""Checks of the room: what stands where, from as much of the file as is sound."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from acoustics.case.checks.grid_checks import seat_receivers
from acoustics.case.checks.outside import Outside, floor_problems
from acoustics.case.checks.placement_checks import ceiling_problems, pair_problems, wall_problems
from acoustics.case.checks.plan import Plan, Surfaces, plan_of
from acoustics.case.checks.seat_checks import (
    Place,
    ear_problems,
    ears_of,
    name_problems,
    places_of,
    seat_problems,
)
from acoustics.case.messages.faults import Problem
from acoustics.case.tables.room_tables import SURFACE_TABLES, SURFACES
from acoustics.case.tables.sound import Values, sound_values
from acoustics.case.text.lines import Path


@dataclass(frozen=True)
class Room:
    """Sound values of the tables about the room, and what follows from them."""

    outside: Outside
    placement: Values
    plan: Plan | None
    surfaces: Surfaces
    seat: object
    """[seat] as it stands in the file, whatever it is"""
    places: list[Place]
    ears: Mapping[int, float]


def room_of(
    data: Mapping[str, Any], outside: Outside, placement: Values, faulty: list[Path]
) -> Room:
    """The room of a case whose keys at `faulty` are wrong."""
    surfaces = {
        name: sound_values(SURFACE_TABLES[name], data[key], (key,), faulty)
        for name, key in SURFACES.items()
        if key in data
    }
    seat = data.get("seat")
    places, ears = places_of(seat, faulty), ears_of(seat, faulty)
    return Room(outside, placement, plan_of(outside, placement), surfaces, seat, places, ears)


def room_problems(room: Room) -> Iterator[Problem]:
    """Cabinets and seats in each other's way, or in that of a surface."""
    if room.plan is not None:
        yield from pair_problems(room.plan)
        yield from wall_problems(room.plan, room.surfaces)
    yield from ceiling_problems(room.outside, room.surfaces)
    yield from floor_problems(room.outside, room.surfaces.get("floor", {}))
    yield from name_problems(room.seat)
    yield from ear_problems(room.ears, room.surfaces)
    yield from seat_problems(room.places, room.plan, room.surfaces)


def receivers_in(room: Room) -> int:
    """About how many receivers the seats have."""
    return seat_receivers(len(room.places), len(room.ears), len(room.surfaces), room.placement)
