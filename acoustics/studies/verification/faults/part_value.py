"""A part of the passive crossover with another value than the drawing's."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.changes import with_element
from acoustics.studies.verification.fault.fault import Fault, Sizes
from acoustics.studies.verification.fault.parts import PlacedPart, placed_parts, with_value
from acoustics.studies.verification.fault.words import UNPLUGGED, measured_part, part_said
from acoustics.studies.verification.readings.readings import Readings

_UNITS = {"inductor": "H", "capacitor": "F", "resistor": "ohm"}

FARTHEST = 4.0
"""by this factor, either way: beyond, it is a slip of a decade, which is as good as missing"""

LEAST = 0.2
"""Parts are sold to 5 and 10 % (common practice, no source)."""


def part_value_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every inductor, capacitor and resistor; pieces of one value count as one."""
    for each in placed_parts(design.case):
        value = each.part.value
        yield Fault(
            "part off in value",
            each.subject,
            partial(_changed, each),
            partial(_words, each),
            f"{UNPLUGGED}read what is printed on {each.part.name}, or measure it with one end "
            f"unsoldered; {part_said(each.part.kind, value)} belongs there.",
            Sizes(value / FARTHEST, FARTHEST * value, value, LEAST, True, _UNITS[each.part.kind]),
            odds=2.0,
        )


def _changed(each: PlacedPart, built: Built, size: float) -> Built:
    kind, value = each.part.kind, each.part.value
    return with_element(
        built, each.branch, each.place, lambda own: with_value(own, kind, value, size)
    )


def _words(each: PlacedPart, size: float) -> str:
    kind = each.part.kind
    return (
        f"{each.words} is about {measured_part(kind, size)}, not {part_said(kind, each.part.value)}"
    )
