"""Two faults at once: guessed from what each does alone, the likeliest fitted together."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from acoustics.studies.verification.diagnosis.explanation import Explanation
from acoustics.studies.verification.diagnosis.fit_one import blamed
from acoustics.studies.verification.diagnosis.joint import jointly
from acoustics.studies.verification.diagnosis.screen import Look, best_guesses, evidences_near
from acoustics.studies.verification.diagnosis.shared import Shared
from acoustics.studies.verification.fault.fault import Fault
from acoustics.studies.verification.misfit.evidence import Fit

FIRST, FITTED = 2, 2
"""single faults to which a second is added, and pairs that are fitted"""

WORTH = 6.0
"""nats behind the likeliest single fault from which a pair is not fitted, its size being chosen"""

ROUNDS = 2
"""readings of a pair at sizes that the one before suggests"""


@dataclass(frozen=True)
class _Candidate:
    near: Fit
    weight: float
    faults: tuple[Fault, Fault]
    places: tuple[float, float]


def pair_priors(faults: Sequence[Fault], share: float) -> dict[tuple[str, str], float]:
    """Logs of the odds of each pair, by the two names in the order of the faults.

    Faults befall a build by themselves: the odds of two are the product.
    """
    products = {
        (one.name, other.name): one.odds * other.odds
        for number, one in enumerate(faults)
        for other in faults[number + 1 :]
    }
    total = sum(products.values())
    return {names: math.log(share * odds / total) for names, odds in products.items()}


def pairs(shared: Shared, looks: Sequence[Look], found: Sequence[Explanation]) -> list[Explanation]:
    """The likeliest pairs of faults, fitted; none where a pair can do no better than one alone.

    Args:
        shared: of the bench.
        looks: at every fault that is known.
        found: `singles`, the likeliest first.
    """
    odds = pair_priors([look.fault for look in looks], shared.allowances.pair)
    candidates: dict[tuple[str, str], _Candidate] = {}
    for one in found[:FIRST]:
        base = shared.unbent(one.built(shared.bench.design))
        (alone,) = evidences_near(shared, base, np.ones((1, base.row.size)))
        first = one.blames[0]
        others = [look for look in looks if look.fault is not first.fault]
        for look, (place, together) in zip(others, best_guesses(shared, base, others), strict=True):
            names, faults = _in_order(first.fault, look.fault, odds)
            weight = one.evidence + together - alone + odds[names]
            own = first.place
            both = (own, place) if faults[0] is first.fault else (place, own)
            known = candidates.get(names)
            if known is None or weight > known.weight:
                candidates[names] = _Candidate(one.fit, weight, faults, both)
    order = sorted(candidates.items(), key=lambda entry: (-entry[1].weight, entry[0]))
    least = max((one.weight for one in found), default=-math.inf)
    least = max(least, shared.design.evidence + math.log(shared.allowances.healthy)) - WORTH
    fits = []
    for names, candidate in order[:FITTED]:
        if candidate.weight > least:
            places = np.array(candidate.places)
            joint = jointly(shared, candidate.faults, places, ROUNDS, candidate.near)
            fits.append(Explanation(blamed(joint), joint.evidence, odds[names], joint.fit))
    return fits


def _in_order(
    one: Fault, other: Fault, odds: dict[tuple[str, str], float]
) -> tuple[tuple[str, str], tuple[Fault, Fault]]:
    names = (one.name, other.name)
    return (names, (one, other)) if names in odds else (names[::-1], (other, one))
