"""A port of another length than the drawing's."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from acoustics.case.design.enclosure_model import Enclosure, Port, port_part
from acoustics.case.design.model import Case
from acoustics.case.geometry.shell import shell_in
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.changes import (
    moved,
    with_duct_scaled,
    with_enclosure,
    with_port,
)
from acoustics.studies.verification.fault.fault import Fault, Sizes
from acoustics.studies.verification.fault.words import said
from acoustics.studies.verification.readings.readings import Readings

FACTORS = (0.4, 2.5)
LEAST = 0.15

MOST_TAKEN = 0.4
"""of the net volume: as much as a longer port may take"""


def port_length_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every port; what it takes of the volume goes with its length."""
    for number, enclosure in enumerate(design.case.enclosures):
        for which, port in enumerate(enclosure.ports):
            yield _fault(design.case, number, enclosure, which, port)


def _fault(case: Case, number: int, enclosure: Enclosure, which: int, port: Port) -> Fault:
    wall = shell_in(case).wall_behind(port.face)
    section = _duct(enclosure, port) / (port.length - wall) if port.length > wall else 0.0
    lowest, highest = (factor * port.length for factor in FACTORS)
    if section > 0:
        highest = min(highest, port.length + MOST_TAKEN * enclosure.volume / section)
    return Fault(
        "port length",
        f"port {port.name} of {enclosure.name}",
        partial(_changed, number, which, port, wall),
        partial(_words, port),
        f"Measure the port {port.name} from mouth to mouth, the wall it goes through included, and "
        "how its ends stand: one near a wall or in the lining acts like a longer port.",
        Sizes(
            min(max(lowest, wall), port.length),
            max(highest, port.length),
            port.length,
            LEAST,
            True,
            "m",
        ),
    )


def _duct(enclosure: Enclosure, port: Port) -> float:
    return dict(enclosure.taken).get(port_part(port.name), 0.0)


def _changed(number: int, which: int, port: Port, wall: float, built: Built, size: float) -> Built:
    inside = port.length - wall
    grown = max(size - wall, 0.0) / inside if inside > 0 else 1.0

    def other(own: Enclosure) -> Enclosure:
        longer = with_port(
            own, which, lambda now: replace(now, length=moved(now.length, port.length, size))
        )
        return with_duct_scaled(longer, port, grown)

    return with_enclosure(built, number, other)


def _words(port: Port, size: float) -> str:
    told, own = said(size, "mm"), said(port.length, "mm")
    return f"the port {port.name} is about {told} long, not {own}"
