"""Checks of ports and passive radiators on the faces of a cabinet."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from acoustics.cabinet.names import face_words
from acoustics.case.checks.face_checks import (
    PISTON_MARGIN,
    by_direction,
    face_key,
    named_face,
    place_problems,
    rooms_on_face,
)
from acoustics.case.checks.outside import Outside
from acoustics.case.checks.plan import MEETS
from acoustics.case.geometry.mouths import Mouth, gap, mouth_of
from acoustics.case.messages.faults import Problem
from acoustics.case.tables.sound import Values
from acoustics.case.text.lines import Path
from acoustics.case.text.units import in_unit
from acoustics.conventions import GeometryError


class _Covered(NamedTuple):
    """Something on a face: what it is called, where its position is stated, what it covers."""

    words: str
    at: Path
    face: int | str
    mouth: Mouth


def opening_problems(
    outside: Outside,
    tables: Mapping[str, Values],
    drivers: Mapping[str, Values],
    floor: Values,
) -> Iterator[Problem]:
    """Ports and passive radiators off their face, over an edge, or in the way of something.

    `tables` are the sound values of the enclosures, `drivers` those of drivers with the names of
    their faces.
    """
    there = [
        _Covered(f"the frame of '{name}'", ("drivers", name, "position"), *_frame(outside, driver))
        for name, driver in drivers.items()
        if {"position", "frame_diameter", "face"} <= driver.keys()
    ]
    for enclosure, values in tables.items():
        for key in ("ports", "passive_radiators"):
            for name, table in (values.get(key) or {}).items():
                at: Path = ("enclosures", enclosure, key, name)
                opening, problems = named_face(outside, dict(table), at)
                yield from problems
                if "face" not in opening:
                    continue
                if floor.get("mirrors_cabinet") and opening["face"] == "bottom":
                    yield Problem(
                        (*at, "face"),
                        "the bottom stands on the floor, so an opening there has nowhere to "
                        "radiate; move it, or take floor.mirrors_cabinet out",
                    )
                if key == "ports":
                    wrong = list(_port_problems(outside, at, opening))
                    face, mouth = face_key(outside, opening["face"]), mouth_of(opening)
                    words = f"the port '{name}'"
                else:
                    wrong = list(place_problems(outside, at, opening, "passive radiator"))
                    face, mouth = _frame(outside, opening)
                    words = f"the frame of '{name}'"
                yield from wrong
                if not wrong:
                    this = _Covered(words, (*at, "position"), face, mouth)
                    yield from _overlaps(this, there)
                    there.append(this)


def _frame(outside: Outside, values: Values) -> tuple[int | str, Mouth]:
    right, up = values["position"]
    mouth = Mouth((right, up), radius=values["frame_diameter"] / 2)
    return face_key(outside, values["face"]), mouth


def _overlaps(this: _Covered, others: list[_Covered]) -> Iterator[Problem]:
    for other in others:
        if other.face == this.face and (apart := gap(this.mouth, other.mouth)) <= MEETS:
            verb = "touches" if apart >= -MEETS and this.mouth.radius else "overlaps"
            yield Problem(
                this.at,
                f"{this.words} {verb} {other.words}; move one of the two"
                + (f" by more than {in_unit(-apart, 'mm', digits=3)}" if apart < -MEETS else ""),
            )


def _port_problems(outside: Outside, at: Path, port: Values) -> Iterator[Problem]:
    """A mouth that reaches beyond what is flat of its face, or too near its edge."""
    face = port["face"]
    mouth = mouth_of(port)
    try:
        rooms = [
            (room - mouth.radius, side)
            for point in ([[*mouth.centre]] if mouth.radius else mouth.rim.tolist())
            for room, side in rooms_on_face(outside, face, point)
        ]
    except GeometryError as error:
        yield Problem((*at, "face"), f"{error}{by_direction(outside, face)}")
        return
    room, side = min(rooms, default=(math.inf, ""))  # sizes that are not known
    if room < PISTON_MARGIN - MEETS:
        found = f"is less than {in_unit(PISTON_MARGIN, 'mm')} from {side}"
        if room < -MEETS:
            found = f"reaches {in_unit(-room, 'mm', digits=3)} beyond {side}"
        yield Problem(
            (*at, "position"),
            f"the port's mouth {found}; move it, or take a smaller one: it has to be on the flat "
            f"part of the {face_words(face)}",
        )
