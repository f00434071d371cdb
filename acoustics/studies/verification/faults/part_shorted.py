"""A part of the passive crossover that is bridged: a short circuit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import groupby

from acoustics.case.phrases import listed
from acoustics.studies.verification.built import Built
from acoustics.studies.verification.fault import Fault
from acoustics.studies.verification.fault_changes import with_element
from acoustics.studies.verification.fault_parts import (
    PlacedPart,
    is_attenuator,
    placed_parts,
    shorted,
)
from acoustics.studies.verification.fault_words import UNPLUGGED
from acoustics.studies.verification.readings import Readings


def part_shorted_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every part; of several side by side one, for the bridge takes them all.

    A resistor in the way that is an attenuator by itself is told as one.
    """
    for _, own in groupby(placed_parts(design.case), lambda each: (each.branch, each.place)):
        parts = list(own)
        beside = parts[0].element.joined == "side by side"
        for group in [parts] if beside else [[part] for part in parts]:
            if not is_attenuator(design.case, group[0]):
                yield _fault(group)


def _fault(parts: Sequence[PlacedPart]) -> Fault:
    names = listed([each.part.name for each in parts], "or")
    first = parts[0]
    told = [f"{each.part.kind} {each.part.name}" for each in parts]
    return Fault(
        "part shorted",
        f"{listed(told, 'or')} of the {first.driver}",
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
