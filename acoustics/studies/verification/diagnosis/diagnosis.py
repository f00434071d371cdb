"""From readings to a verdict: the design, a fault, or nothing known, each with its probability."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from scipy.special import logsumexp

from acoustics.field.blas import one_blas_thread
from acoustics.studies.verification.bench.answers import Bench
from acoustics.studies.verification.diagnosis.classes import Class, classes
from acoustics.studies.verification.diagnosis.exact import exact
from acoustics.studies.verification.diagnosis.expected import Expected, expected
from acoustics.studies.verification.diagnosis.explanation import Explanation
from acoustics.studies.verification.diagnosis.fit_one import guesses, singles
from acoustics.studies.verification.diagnosis.next_measurement import (
    Imagine,
    NextMeasurement,
    next_measurement,
)
from acoustics.studies.verification.diagnosis.pairs import pairs
from acoustics.studies.verification.diagnosis.screen import looks_at
from acoustics.studies.verification.diagnosis.shared import Shared, shared_of
from acoustics.studies.verification.diagnosis.unknown import chance_of_worse, unknown_weight
from acoustics.studies.verification.fault.fault import Fault
from acoustics.studies.verification.misfit.allowances import USUAL, Allowances
from acoustics.studies.verification.readings.readings import Readings
from acoustics.studies.verification.strays.strays import Stray

Verdict = Literal[
    "matches the design", "fault", "none of the known faults explains this", "not sure"
]

BESIDE = 2
"""faults beside which something unknown is looked for"""

FITS = 0.1
"""chance of a worse fit above which one fault, or none, leaves nothing for a second to explain"""

EVEN = 0.5

WORTH = 1e-3
"""probability from which a cause is listed"""


@dataclass(frozen=True, eq=False)
class Cause:
    """Explanations that the readings do not tell apart, the likeliest first; their probability."""

    members: tuple[Explanation, ...]
    probability: float


@dataclass(frozen=True, eq=False)
class Diagnosis:
    """What readings of a loudspeaker say of it.

    Attributes:
        verdict: what is likelier than all else together; "fault" may leave open which of several.
            Whatever fits so badly that readings of such a build hardly ever would explains nothing.
        sure: whether what it says has the probability of `Allowances.sure`.
        healthy, unknown: probability that it is the design, or something on no list.
        causes: the rest, the likeliest first.
        likeliest: the likeliest explanation, be it the design.
        as_designed: the readings as the design tells them.
        as_found: as the likeliest explanation does.
        following: what to measure next; None where nothing is needed or would help.
        allowances: what was taken for granted.
    """

    verdict: Verdict
    sure: bool
    healthy: float
    unknown: float
    causes: tuple[Cause, ...]
    likeliest: Explanation
    as_designed: Expected
    as_found: Expected
    following: NextMeasurement | None
    allowances: Allowances


def diagnose(
    bench: Bench,
    faults: Sequence[Fault],
    strays: Sequence[Stray],
    allowances: Allowances = USUAL,
    *,
    imagine: Imagine | None = None,
    candidates: Sequence[Readings] = (),
) -> Diagnosis:
    """Tell what a finished loudspeaker's readings say of it.

    Probabilities of explanations are their odds before times the evidence, the probability density
    of the readings with everything else integrated over (Kass & Raftery, Bayes factors, JASA 90,
    1995, 773; from memory).

    Args:
        bench: where it was measured.
        faults: all that are known for the design.
        strays: small things that differ without being faults.
        allowances: errors allowed, and odds.
        imagine: the bench with other readings; None to propose no measurement.
        candidates: measurements that could be made next.
    """
    with one_blas_thread():
        return _diagnosed(bench, faults, strays, allowances, imagine, candidates)


def _diagnosed(
    bench: Bench,
    faults: Sequence[Fault],
    strays: Sequence[Stray],
    allowances: Allowances,
    imagine: Imagine | None,
    candidates: Sequence[Readings],
) -> Diagnosis:
    shared = shared_of(bench, strays, allowances)
    looks = looks_at(shared, faults)
    healthy = Explanation((), shared.design.evidence, math.log(allowances.healthy), shared.design)
    alone = singles(shared, looks, guesses(shared, looks)) if looks else []
    right = exact(shared, [healthy, *alone])
    two: list[Explanation] = []
    if len(looks) > 1 and _chance(shared, right[0]) < FITS:
        two = pairs(shared, looks, [one for one in right if one.blames])
    known = sorted([*right, *two], key=lambda one: -one.weight)
    healthy = next(one for one in known if not one.blames)
    blamed = [one for one in known if one.blames]
    beside = [healthy, *[one for one in blamed if len(one.blames) == 1][:BESIDE]]
    unknown = unknown_weight(shared, beside)
    total = float(logsumexp([*(one.weight for one in known), unknown]))
    groups = classes(shared, blamed)
    causes = [_cause(group, total) for group in groups]
    share_healthy = math.exp(healthy.weight - total)
    share_unknown = math.exp(unknown - total)
    best = known[0]
    verdict = _verdict(shared, best, share_healthy, share_unknown, causes)
    leading = max(share_healthy, share_unknown, causes[0].probability if causes else 0.0)
    listed = tuple(cause for cause in causes if cause.probability >= WORTH)
    sure = leading >= allowances.sure and verdict != "not sure"
    following = None
    alike = bool(listed) and len(listed[0].members) > 1 and verdict == "fault"
    if imagine is not None and (not sure or alike):
        rivals = [*_rivals(listed), (healthy, share_healthy)]
        following = next_measurement(shared, rivals, candidates, imagine)
    return Diagnosis(
        verdict,
        sure,
        share_healthy,
        share_unknown,
        listed,
        best,
        expected(shared, healthy),
        expected(shared, best),
        following,
        allowances,
    )


def _rivals(causes: Sequence[Cause]) -> Iterator[tuple[Explanation, float]]:
    """What a further measurement is to tell apart: every member, by its share of its class."""
    for cause in causes:
        whole = logsumexp([one.weight for one in cause.members])
        for one in cause.members:
            yield one, cause.probability * math.exp(one.weight - whole)


def _chance(shared: Shared, one: Explanation) -> float:
    """Share of readings that would fit worse were an explanation right."""
    sized = sum(blame.size is not None for blame in one.blames)
    return chance_of_worse(one.fit, shared.free, sized)


def _cause(group: Class, total: float) -> Cause:
    return Cause(group.members, math.exp(group.weight - total))


def _verdict(
    shared: Shared, best: Explanation, healthy: float, unknown: float, causes: Sequence[Cause]
) -> Verdict:
    """What the probabilities come to; nothing is explained that fits too badly."""
    fits = _chance(shared, best) >= shared.allowances.unlikely
    if not fits or unknown > EVEN:
        return "none of the known faults explains this"
    if healthy > EVEN:
        return "matches the design"
    if sum(cause.probability for cause in causes) > EVEN:
        return "fault"
    return "not sure"
