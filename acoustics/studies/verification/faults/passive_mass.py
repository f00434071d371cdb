"""A passive radiator that is heavier or lighter than it should be."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from acoustics.case.design.enclosure_model import PassiveRadiator
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.fault import Fault, Sizes
from acoustics.studies.verification.fault.radiators import placed_radiators, scaled_radiator
from acoustics.studies.verification.fault.words import said
from acoustics.studies.verification.readings.readings import Readings

FACTORS = (0.5, 2.0)
LEAST = 0.1


def passive_mass_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every passive radiator."""
    for each in placed_radiators(design.case):
        passive, own = each.radiator, each.radiator.moving_mass
        yield Fault(
            "mass of a passive radiator",
            each.subject,
            partial(scaled_radiator, each, "moving_mass"),
            partial(_words, passive),
            f"Weigh what was added to the cone of {passive.name}; all that moves, cone and air "
            f"included, should come to {said(own, 'g')}.",
            Sizes(FACTORS[0] * own, FACTORS[1] * own, own, LEAST, True, "kg"),
            odds=1.5,
        )


def _words(passive: PassiveRadiator, size: float) -> str:
    told, own = said(size, "g"), said(passive.moving_mass, "g")
    return f"what moves of the passive radiator {passive.name} is about {told}, not {own}"
