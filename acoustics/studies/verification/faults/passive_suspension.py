"""A passive radiator whose suspension is stiffer than stated, or softer."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from acoustics.case.design.enclosure_model import PassiveRadiator
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.fault import Fault, Sizes
from acoustics.studies.verification.fault.radiators import placed_radiators, scaled_radiator
from acoustics.studies.verification.fault.words import said
from acoustics.studies.verification.readings.readings import Readings

FACTORS = (0.25, 1.6)
LEAST = 0.3


def passive_suspension_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every passive radiator."""
    for each in placed_radiators(design.case):
        passive, own = each.radiator, each.radiator.compliance
        yield Fault(
            "suspension of a passive radiator",
            each.subject,
            partial(scaled_radiator, each, "compliance"),
            partial(_words, passive),
            f"Press the cone of {passive.name} evenly with your fingertips: it should move "
            "freely and rub nowhere; new ones soften when they have been played for some "
            "hours, and a frame drawn crooked by its screws holds it.",
            Sizes(FACTORS[0] * own, FACTORS[1] * own, own, LEAST, True, "m/N"),
        )


def _words(passive: PassiveRadiator, size: float) -> str:
    told, own = said(size, "mm/N"), said(passive.compliance, "mm/N")
    stiffer = "stiffer" if size < passive.compliance else "softer"
    return (
        f"the suspension of the passive radiator {passive.name} is {stiffer}: about {told}, not "
        f"{own}"
    )
