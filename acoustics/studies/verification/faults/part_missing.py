"""A part of the passive crossover that is left out or not connected: an open circuit."""

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
    opened,
    parts_apart,
)
from acoustics.studies.verification.fault.words import UNPLUGGED
from acoustics.studies.verification.readings.readings import Readings


def part_missing_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every part; of a chain one, for it is open wherever it is broken."""
    for parts in parts_apart(design.case, together="one after the other"):
        # A resistor across that is an attenuator by itself is told as one.
        if parts[0].element.place == "series" or not is_attenuator(design.case, parts[0]):
            yield _fault(parts)


def _fault(parts: Sequence[PlacedPart]) -> Fault:
    first, (names, subject) = parts[0], any_of(parts)
    return Fault(
        "part missing",
        subject,
        partial(_changed, first),
        partial(_words, f"{names} of the {first.driver}"),
        f"{UNPLUGGED}look whether {names} is there and follow its ends: a joint that was left "
        "out, a cold one, or a wire broken off under its sleeve; with an ohmmeter if none shows.",
    )


def _changed(each: PlacedPart, built: Built, size: float) -> Built:
    return with_element(built, each.branch, each.place, lambda own: opened(own, each.part.kind))


def _words(names: str, size: float) -> str:
    return f"{names} is missing or hangs loose, not connected at both ends"
