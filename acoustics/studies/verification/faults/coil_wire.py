"""A coil of the passive crossover wound with thinner wire than the drawing's."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from acoustics.case.design.network_model import Element
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.changes import moved, with_element
from acoustics.studies.verification.fault.fault import Fault, Sizes
from acoustics.studies.verification.fault.parts import PlacedPart, placed_parts
from acoustics.studies.verification.fault.words import UNPLUGGED, measured_part, part_said
from acoustics.studies.verification.readings.readings import Readings

THINNEST = 5.0
"""times the resistance"""

UNSTATED = 2.0
"""ohm: as much as a coil may have whose wire the design says nothing of"""


def coil_wire_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every inductor."""
    for each in placed_parts(design.case):
        if each.part.kind != "inductor":
            continue
        own = each.part.resistance
        yield Fault(
            "coil of thinner wire",
            each.subject,
            partial(_changed, each),
            partial(_words, each),
            f"{UNPLUGGED}measure the resistance of {each.part.name} with one end unsoldered, and "
            f"take a coil of thicker wire if it is not about {part_said('resistor', own)}.",
            Sizes(own, THINNEST * own, own, 0.3, True, "ohm")
            if own > 0
            else Sizes(0.0, UNSTATED, 0.0, 0.3, False, "ohm"),
        )


def _changed(each: PlacedPart, built: Built, size: float) -> Built:
    def other(element: Element) -> Element:
        if element.inductor is None:  # missing or bridged by now
            return element
        return replace(element, resistance=moved(element.resistance, each.part.resistance, size))

    return with_element(built, each.branch, each.place, other)


def _words(each: PlacedPart, size: float) -> str:
    own = part_said("resistor", each.part.resistance)
    return f"the wire of {each.words} has about {measured_part('resistor', size)}, not {own}"
