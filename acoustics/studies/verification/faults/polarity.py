"""One driver connected the wrong way round."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.changes import with_driver
from acoustics.studies.verification.fault.fault import Fault
from acoustics.studies.verification.fault.words import SWITCHED_OFF
from acoustics.studies.verification.readings.readings import Readings


def polarity_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every driver."""
    for number, driver in enumerate(design.case.drivers):
        yield Fault(
            "wrong way round",
            driver.name,
            partial(_changed, number),
            partial(_words, driver.name),
            f"{SWITCHED_OFF}compare plus and minus at the {driver.name} and at its end of the "
            "crossover with the drawing, and swap the two leads where they differ.",
            odds=2.0,
        )


def _changed(number: int, built: Built, size: float) -> Built:
    return with_driver(built, number, lambda own: replace(own, inverted=not own.inverted))


def _words(name: str, size: float) -> str:
    return f"the {name} is connected the wrong way round: plus to minus, not plus to plus"
