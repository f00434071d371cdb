"""Single faults: which come into question, how large they would be, how likely the readings are."""

from __future__ import annotations

import math
from collections.abc import Sequence

from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.diagnosis.explanation import Blame, Explanation
from acoustics.studies.verification.diagnosis.joint import Joint
from acoustics.studies.verification.diagnosis.over_sizes import explored
from acoustics.studies.verification.diagnosis.screen import Look, best_guesses
from acoustics.studies.verification.diagnosis.shared import Shared
from acoustics.studies.verification.fault.fault import Fault
from acoustics.studies.verification.fault.size_scale import faulty, on_scale, size_at
from acoustics.studies.verification.misfit.evidence import Fit
from acoustics.studies.verification.readings.readings import COVERED

READ, REFINED, GUESSED = 12, 4, 2
"""faults that are read at their guessed size, and those whose size is looked for: the likeliest
when read, and the likeliest by the first look"""

MOST = 5
"""readings of a fault in the search of its size"""

QUICK = 3
"""steps of a fit far from the best size"""


def priors(faults: Sequence[Fault], share: float) -> list[float]:
    """Logs of the odds of each fault, all together a share."""
    total = sum(fault.odds for fault in faults)
    return [math.log(share * fault.odds / total) for fault in faults]


def guesses(shared: Shared, looks: Sequence[Look]) -> list[tuple[float, float]]:
    """Each fault's likeliest place and evidence by a first look, beside the design."""
    return best_guesses(shared, shared.unbent(shared.bench.design), looks)


def singles(
    shared: Shared, looks: Sequence[Look], guessed: Sequence[tuple[float, float]]
) -> list[Explanation]:
    """The likeliest single faults, fitted, the likeliest first.

    Args:
        shared: of the bench.
        looks: at every fault that is known.
        guessed: `guesses` of them.
    """
    odds = priors([look.fault for look in looks], shared.allowances.single)
    order = sorted(range(len(looks)), key=lambda n: -(guessed[n][1] + odds[n]))[:READ]
    read = []
    for number in order:
        look, (place, _) = looks[number], guessed[number]
        fit = shared.fit(built_at(shared, look.fault, place))
        read.append((fit.evidence + odds[number], number, place, fit))
    # At a guessed size a fault may fit badly that fits best at its own.
    promising = {number for _, number, _, _ in read[:GUESSED]}
    read.sort(key=lambda entry: (-entry[0], entry[1]))
    promising |= {number for _, number, _, _ in read[:REFINED]}
    found = [
        single(shared, looks[number], place, fit, odds[number])
        for _, number, place, fit in read
        if number in promising
    ]
    return sorted(found, key=lambda explanation: -explanation.weight)


def single(shared: Shared, look: Look, place: float, fit: Fit, prior: float) -> Explanation:
    """A fault with its size integrated over, from a place on its scale and the fit there."""
    fault, sizes = look.fault, look.fault.sizes
    if sizes is None:
        return Explanation((Blame(fault, None),), fit.evidence, prior, fit)
    middle = on_scale(sizes, sizes.design)
    fits = {place: fit}
    logs = {middle: shared.design.evidence, place: fit.evidence}
    for at, known in zip(look.places, look.rows, strict=True):
        if float(at) not in logs:
            logs[float(at)] = shared.fit_row(known, QUICK).evidence

    def evaluate(wanted: float) -> float:
        fits[wanted] = shared.fit(built_at(shared, fault, wanted))
        return fits[wanted].evidence

    curve, _, _ = explored(evaluate, list(logs), list(logs.values()), faulty(sizes), MOST)
    if curve.best not in fits:
        evaluate(curve.best)
    best = max(fits, key=lambda at: fits[at].evidence)
    ends = (size_at(sizes, end) for end in (best, curve.low, curve.high))
    evidence = min(curve.evidence, fits[best].evidence)
    return Explanation((Blame(fault, *ends),), evidence, prior, fits[best])


def built_at(shared: Shared, fault: Fault, place: float) -> Built:
    """What stands there with a fault at a place on its scale."""
    size = 0.0 if fault.sizes is None else size_at(fault.sizes, place)
    return fault.changed(shared.bench.design, size)


def blamed(joint: Joint, ends: tuple[float, float] | None = None) -> tuple[Blame, ...]:
    """Faults of a joint fit with the ends of their sizes: given, or of its curvature."""
    found = []
    for number, fault in enumerate(joint.faults):
        if fault.sizes is None:
            found.append(Blame(fault, None))
            continue
        place, spread = float(joint.places[number]), float(joint.spreads[number])
        low, high = (place - COVERED * spread, place + COVERED * spread)
        low, high = (low, high) if ends is None else ends
        sizes = (size_at(fault.sizes, each) for each in (place, low, high))
        found.append(Blame(fault, *sizes))
    return tuple(found)
