"""A driver that plays louder or softer than it should, all its band alike."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from acoustics.case.design.model import Branch
from acoustics.crossover.branch import branches_of
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.changes import strayed
from acoustics.studies.verification.fault.fault import Fault, Sizes
from acoustics.studies.verification.fault.words import decibels
from acoustics.studies.verification.readings.readings import Readings
from acoustics.studies.wording import amount

FARTHEST = 12.0
"""dB, either way"""

LEAST = 1.0
"""dB"""


def level_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every driver with an amplifier of its own, or whose parameters are not known.

    Of any other what makes its level are its parameters and the passive crossover's parts.
    """
    case = design.case
    for number, (driver, branch) in enumerate(zip(case.drivers, branches_of(case), strict=True)):
        passive = branch.slopes == "passive"
        if passive and driver.small_signal is not None:
            continue
        where = (
            f"compare the {driver.name} with its data sheet, or measure it by itself"
            if passive
            else f"read the gain of the {driver.name} in the active crossover and at its "
            "amplifier, and turn it back; keep the volume low meanwhile"
        )
        yield Fault(
            "plays at another level",
            driver.name,
            partial(_changed, number, len(case.drivers)),
            partial(_words, driver.name, branch),
            f"{where[0].upper()}{where[1:]}.",
            Sizes(-FARTHEST, FARTHEST, 0.0, LEAST, False, "dB"),
            odds=2.0,
        )


def _changed(number: int, count: int, built: Built, size: float) -> Built:
    return replace(built, levels=strayed(built.levels, number, count, size))


def _words(name: str, branch: Branch, size: float) -> str:
    more = "louder" if size > 0 else "softer"
    words = f"the {name} plays about {decibels(size)} {more} than it should"
    if branch.slopes == "electrical":
        told, own = amount(branch.gain + size, "dB"), amount(branch.gain, "dB")
        return f"{words}: as with a gain of {told}, not {own}"
    return f"{words}, not in line with the others"
