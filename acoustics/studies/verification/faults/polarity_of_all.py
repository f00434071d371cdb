"""The whole loudspeaker connected the wrong way round."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from acoustics.case.design.model import Driver
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.changes import with_driver
from acoustics.studies.verification.fault.fault import Fault
from acoustics.studies.verification.fault.words import SWITCHED_OFF
from acoustics.studies.verification.readings.readings import Readings


def polarity_of_all_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One; none for a single driver, for it is the same as that driver's."""
    if len(design.case.drivers) < 2:
        return
    yield Fault(
        "wrong way round",
        "all drivers together",
        _changed,
        lambda size: (
            "the whole loudspeaker is connected the wrong way round: plus to minus, not plus to "
            "plus"
        ),
        f"{SWITCHED_OFF}compare plus and minus along the cable, from the amplifier through the "
        "terminals of the cabinet to the crossover; a measuring chain that inverts shows the same, "
        "so check it on a loudspeaker whose polarity is known.",
    )


def _changed(built: Built, size: float) -> Built:
    for number in range(len(built.case.drivers)):
        built = with_driver(built, number, _turned)
    return built


def _turned(driver: Driver) -> Driver:
    return replace(driver, inverted=not driver.inverted)
