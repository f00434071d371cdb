"""A part of the passive crossover that is bridged: a short circuit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.changes import with_element
from acoustics.studies.verification.fault.fault import Fault
from acoustics.studies.verification.fault.parts import (
    PlacedPart,
    any_of,
    is_attenuator,
    parts_apart,
    shorted,
)
from acoustics.studies.verification.fault.words import UNPLUGGED
from acoustics.studies.verification.readings.readings import Readings


def part_shorted_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every part; of several side by side one, for the bridge takes them all.

    A resistor in the way that is an attenuator by itself is told as one.
    """
    for parts in parts_apart(design.case, together="side by side"):
        if not is_attenuator(design.case, parts[0]):
            yield _fault(parts)


def _fault(parts: Sequence[PlacedPart]) -> Fault:
    first, (names, subject) = parts[0], any_of(parts)
    return Fault(
        "part shorted",
        subject,
        partial(_changed, first),
        partial(_words, f"{names} of the {first.driver}"),
        f"{UNPLUGGED}look for solder, wire or two leads that touch and bridge {names}; do not play "
        "it before, for the amplifier may see a short circuit and a tweeter all of the bass.",
        odds=0.3,
    )


def _changed(each: PlacedPart, built: Built, size: float) -> Built:
    return with_element(built, each.branch, each.place, lambda own: shorted(own, each.part.kind))


def _words(names: str, size: float) -> str:
    return f"{names} is bridged by a short circuit, not at work"
