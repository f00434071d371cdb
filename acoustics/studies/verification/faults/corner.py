"""Filters of an active branch set to other frequencies."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial
from typing import Any

from acoustics.case.design.model import AllPass, Branch, ParametricSection, PassFilter, Section
from acoustics.case.text.phrases import listed
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.changes import scaled, with_branch
from acoustics.studies.verification.fault.fault import Fault, Sizes
from acoustics.studies.verification.readings.readings import Readings
from acoustics.studies.wording import hertz

FARTHEST = 2.0
"""by this factor, either way"""

LEAST = 0.1

BELOW_HALF = 0.45
"""of the sampling rate: as high as a digital filter may be put"""

_FIELDS = ("low_corner", "high_corner", "frequency")


def corner_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every branch of electrical slopes: all its frequencies by one factor.

    Computed filters are numbers that are loaded, which nobody sets.
    """
    rate = design.case.sampling_rate
    for number, branch in enumerate(design.case.crossover):
        values = [value for section in branch.sections for value in _frequencies(section)]
        if branch.slopes != "electrical" or not values:
            continue
        lead = values[0]
        highest = FARTHEST * lead
        if rate is not None:
            highest = max(lead, min(highest, BELOW_HALF * rate * lead / max(values)))
        yield Fault(
            "corner off",
            f"filters of the {branch.driver}",
            partial(_changed, number, branch, lead),
            partial(_words, branch.driver, values),
            f"Read the frequencies of the {branch.driver}'s filters in the active crossover; all "
            "of them are off by one factor if it runs at another sampling rate than they were "
            "computed for.",
            Sizes(lead / FARTHEST, highest, lead, LEAST, True, "Hz"),
        )


def _frequencies(section: Section) -> list[float]:
    """Corners and centres of a section, Hz; none where it is but coefficients."""
    values = [getattr(section, name, None) for name in _FIELDS]
    return [value for value in values if value is not None]


def _changed(number: int, branch: Branch, lead: float, built: Built, size: float) -> Built:
    def other(own: Branch) -> Branch:
        pairs = zip(own.sections, branch.sections, strict=True)
        return replace(own, sections=tuple(_retuned(now, was, lead, size) for now, was in pairs))

    return with_branch(built, number, other)


def _retuned(now: Section, was: Section, lead: float, size: float) -> Section:
    if not isinstance(now, PassFilter | ParametricSection | AllPass):
        return now
    changed: dict[str, Any] = {
        name: scaled(value, own, scaled(own, lead, size))
        for name in _FIELDS
        if (value := getattr(now, name, None)) is not None
        and (own := getattr(was, name, None)) is not None
    }
    return replace(now, **changed)


def _words(driver: str, values: Sequence[float], size: float) -> str:
    own = list(dict.fromkeys(values))
    told = [hertz(value * size / own[0]) for value in own]
    return (
        f"the filters of the {driver} sit at about {listed(told)}, not {listed([*map(hertz, own)])}"
    )
