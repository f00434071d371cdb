"""Two outputs of the active crossover, each led to the driver of the other."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from itertools import combinations

from acoustics.crossover.branch import branches_of
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.changes import with_feeds_swapped
from acoustics.studies.verification.fault.fault import Fault
from acoustics.studies.verification.readings.readings import Readings


def outputs_swapped_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every two drivers with amplifiers of their own whose branches differ.

    Both of electrical slopes or both of computed filters, so that what is held stays one of a kind.
    """
    active = [each for each in branches_of(design.case) if each.slopes != "passive"]
    for one, other in combinations(active, 2):
        if one.slopes != other.slopes or replace(one, driver=other.driver) == other:
            continue
        yield Fault(
            "outputs swapped",
            f"{one.driver} and {other.driver}",
            partial(_changed, one.driver, other.driver),
            partial(_words, one.driver, other.driver),
            "Turn the volume down at once, because bass can destroy the smaller driver; with the "
            "amplifiers switched off, follow the leads of both from the active crossover's outputs "
            "to the drivers.",
        )


def _changed(one: str, other: str, built: Built, size: float) -> Built:
    return with_feeds_swapped(built, one, other)


def _words(one: str, other: str, size: float) -> str:
    return f"the {one} plays what is meant for the {other} and the {other} that, not each its own"
