"""A part of the passive crossover that is left out or not connected: an open circuit."""

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
    opened,
    placed_parts,
)
from acoustics.studies.verification.fault_words import UNPLUGGED
from acoustics.studies.verification.readings import Readings


def part_missing_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every part; of a chain one, for it is open wherever it is broken."""
    for _, own in groupby(placed_parts(design.case), lambda each: (each.branch, each.place)):
        parts = list(own)
        chain = parts[0].element.joined == "one after the other"
        for group in [parts] if chain else [[part] for part in parts]:
            # A resistor across that is an attenuator by itself is told as one.
            if group[0].element.place == "series" or not is_attenuator(design.case, group[0]):
                yield _fault(group)


def _fault(parts: Sequence[PlacedPart]) -> Fault:
    names = listed([each.part.name for each in parts], "or")
    first = parts[0]
    told = [f"{each.part.kind} {each.part.name}" for each in parts]
    return Fault(
        "part missing",
        f"{listed(told, 'or')} of the {first.driver}",
        partial(_changed, first),
        partial(_words, f"{names} of the {first.driver}"),
        f"{UNPLUGGED}look whether {names} is there and follow its ends: a joint that was left "
        "out, a cold one, or a wire broken off under its sleeve; with an ohmmeter if none shows.",
    )


def _changed(each: PlacedPart, built: Built, size: float) -> Built:
    return with_element(built, each.branch, each.place, lambda own: opened(own, each.part.kind))


def _words(names: str, size: float) -> str:
    return f"{names} is missing or hangs loose, not connected at both ends"
