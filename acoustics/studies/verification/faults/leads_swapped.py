"""Two drivers, each hung on the end of the passive crossover that is the other's."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from itertools import combinations

from acoustics.crossover.connections import ladders_of
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.changes import with_feeds_swapped
from acoustics.studies.verification.fault.fault import Fault
from acoustics.studies.verification.fault.words import SWITCHED_OFF
from acoustics.studies.verification.readings.readings import Readings


def leads_swapped_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every two drivers on the passive crossover whose branches differ."""
    passive = [ladder.branch for ladder in ladders_of(design.case)]
    for one, other in combinations(passive, 2):
        if replace(one, driver=other.driver) == other:
            continue
        yield Fault(
            "leads swapped",
            f"{one.driver} and {other.driver}",
            partial(_changed, one.driver, other.driver),
            partial(_words, one.driver, other.driver),
            f"{SWITCHED_OFF}follow the leads of the {one.driver} and of the {other.driver} to the "
            "crossover; play nothing until they hang where they belong, because bass can destroy "
            "the smaller driver.",
        )


def _changed(one: str, other: str, built: Built, size: float) -> Built:
    return with_feeds_swapped(built, one, other)


def _words(one: str, other: str, size: float) -> str:
    return f"the {one} hangs where the {other} belongs and the {other} there, not each on its own"
