"""A wrong delay in the active crossover."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from acoustics.crossover.branch import branches_of
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.changes import strayed
from acoustics.studies.verification.fault.fault import Fault, Sizes
from acoustics.studies.verification.fault.words import said
from acoustics.studies.verification.readings.readings import Readings

FARTHEST = 1e-3
"""s, either way: as far as sound goes in 340 mm"""

LEAST = 20e-6
"""s: 7 mm"""


def branch_delay_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every driver with an amplifier of its own, beside another driver."""
    case = design.case
    for number, (driver, branch) in enumerate(zip(case.drivers, branches_of(case), strict=True)):
        if branch.slopes == "passive" or len(case.drivers) < 2:
            continue
        yield Fault(
            "wrong delay",
            driver.name,
            partial(_changed, number, len(case.drivers)),
            partial(_words, driver.name, branch.delay),
            f"Read the delay of the {driver.name} in the active crossover, its unit too: "
            "milliseconds, samples and millimetres are easily taken for each other.",
            Sizes(-FARTHEST, FARTHEST, 0.0, LEAST, False, "s"),
        )


def _changed(number: int, count: int, built: Built, size: float) -> Built:
    return replace(built, delays=strayed(built.delays, number, count, size))


def _words(name: str, delay: float, size: float) -> str:
    late = "late" if size > 0 else "early"
    words = f"the {name} comes about {said(abs(size), 'ms')} too {late}"
    if delay + size < 0:
        return f"{words}, not when its branch should let it"
    return f"{words}: a delay of {said(delay + size, 'ms')}, not {said(delay, 'ms')}"
