"""The attenuator of a driver left out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

from acoustics.case.text.phrases import listed
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.changes import with_element
from acoustics.studies.verification.fault.fault import Fault
from acoustics.studies.verification.fault.parts import PlacedPart, attenuators, opened, shorted
from acoustics.studies.verification.fault.words import UNPLUGGED, part_said
from acoustics.studies.verification.readings.readings import Readings


def attenuator_missing_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every passive ladder that has one: what is in the way bridged, what is across off."""
    for parts in attenuators(design.case):
        told = listed(
            [f"{each.part.name}, {part_said('resistor', each.part.value)}" for each in parts]
        )
        driver = parts[0].driver
        yield Fault(
            "attenuator missing",
            f"attenuator of the {driver}",
            partial(_changed, parts),
            partial(_words, parts),
            f"{UNPLUGGED}look whether the {driver} has its attenuator: {told}, neither bridged "
            "nor hanging loose.",
        )


def _changed(parts: Sequence[PlacedPart], built: Built, size: float) -> Built:
    for each in parts:
        gone = shorted if each.element.place == "series" else opened
        built = with_element(built, each.branch, each.place, partial(gone, kind="resistor"))
    return built


def _words(parts: Sequence[PlacedPart], size: float) -> str:
    names = listed([each.part.name for each in parts])
    return f"the {parts[0].driver} plays without its attenuator, not through {names}"
