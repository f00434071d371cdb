"""Passive radiators of a design as a fault befalls them: one value of theirs is another."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any, Literal

from acoustics.case.design.enclosure_model import PassiveRadiator
from acoustics.case.design.model import Case
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.changes import scaled, with_radiator


@dataclass(frozen=True)
class PlacedRadiator:
    """A passive radiator, and by which numbers it is found: its enclosure's and its own."""

    radiator: PassiveRadiator
    enclosure: int
    number: int
    subject: str
    """as words name it"""


def placed_radiators(case: Case) -> Iterator[PlacedRadiator]:
    """Every passive radiator of a design."""
    for number, enclosure in enumerate(case.enclosures):
        for which, radiator in enumerate(enclosure.passive_radiators):
            subject = f"passive radiator {radiator.name} of {enclosure.name}"
            yield PlacedRadiator(radiator, number, which, subject)


def scaled_radiator(
    each: PlacedRadiator, value: Literal["moving_mass", "compliance"], built: Built, size: float
) -> Built:
    """With one value of a passive radiator scaled as it would be to make `size` of the design's."""
    design = getattr(each.radiator, value)

    def changed(now: PassiveRadiator) -> PassiveRadiator:
        values: dict[str, Any] = {value: scaled(getattr(now, value), design, size)}
        return replace(now, **values)

    return with_radiator(built, each.enclosure, each.number, changed)
