"""The likeliest explanations once more, with all that strays looked at anew where each has it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from acoustics.studies.verification.diagnosis.explanation import Explanation
from acoustics.studies.verification.diagnosis.fit_one import blamed
from acoustics.studies.verification.diagnosis.joint import Joint, jointly, placed
from acoustics.studies.verification.diagnosis.over_sizes import size_curve
from acoustics.studies.verification.diagnosis.shared import Shared
from acoustics.studies.verification.fault.size_scale import faulty

NEAR = 100.0
"""nats behind the first up to which an explanation is looked at again: what strays is bent about
the size at which it was first fitted, and right sizes were seen to gain 45 nats once it was not"""

READ = 3
"""how many at most"""

ROUNDS = 3

AROUND = (-3.5, -1.5, 0.0, 1.5, 3.5)
"""standard deviations from the best size at which a single fault is fitted for its integral"""


def exact(shared: Shared, explanations: Sequence[Explanation]) -> list[Explanation]:
    """Explanations with their evidence put right, the likeliest first."""
    order = sorted(explanations, key=lambda explanation: -explanation.weight)
    found: list[Explanation] = []
    for one in order:
        best = max((other.weight for other in found), default=one.weight)
        if not one.blames or (len(found) < READ and _hoped(shared, one) > best - NEAR):
            one = _put_right(shared, one)
        found.append(one)
    return sorted(found, key=lambda explanation: -explanation.weight)


def _hoped(shared: Shared, one: Explanation) -> float:
    """The most that an explanation's weight can become: its misfit no more than its due."""
    rest, strayed = one.fit.rest, one.fit.shares[: len(shared.strays)]
    over = float(rest @ rest + strayed @ strayed) - rest.size
    return one.weight + 0.5 * max(over, 0.0)


def _put_right(shared: Shared, one: Explanation) -> Explanation:
    faults = [blame.fault for blame in one.blames]
    places = np.array([blame.place for blame in one.blames])
    joint = jointly(shared, faults, places, ROUNDS, one.fit)
    if len(faults) == 1 and faults[0].sizes is not None:
        return _over_its_size(shared, joint, one.prior)
    return replace(one, blames=blamed(joint), evidence=joint.evidence, fit=joint.fit)


def _over_its_size(shared: Shared, joint: Joint, prior: float) -> Explanation:
    """A single fault with its evidence integrated over its sizes."""
    fault = joint.faults[0]
    assert fault.sizes is not None
    stretches = faulty(fault.sizes)
    best, spread = float(joint.places[0]), float(joint.spreads[0])
    fits = {best: joint.fit}
    for away in AROUND:
        place = best + away * spread
        stretch = next(s for s in stretches if s[0] - 1e-9 <= best <= s[1] + 1e-9)
        place = min(max(place, stretch[0]), stretch[1])
        if all(abs(place - known) > 0.3 * spread for known in fits):
            built = placed(shared, [fault], np.array([place]))
            fits[place] = shared.fit(built, about=joint.about)
    places = np.array(sorted(fits))
    logs = np.array([fits[place].evidence for place in places])
    if places.size < 2:
        return Explanation(blamed(joint), joint.evidence, prior, joint.fit)
    curve = size_curve(places, logs, stretches)
    nearest = float(places[np.argmax(logs)])
    return Explanation(
        blamed(replace(joint, places=np.array([curve.best])), (curve.low, curve.high)),
        curve.evidence,
        prior,
        fits[nearest],
    )
