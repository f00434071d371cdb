"""Explanations that say the same of all readings are one: nothing measured tells them apart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import logsumexp

from acoustics.studies.verification.diagnosis.explanation import Explanation
from acoustics.studies.verification.diagnosis.shared import Shared

WORTH = 3.0
"""nats behind the first of a class from which a member is not worth naming"""

ALIKE = 3.0
"""nats of likelihood at the best sizes within which two fit alike"""


@dataclass(frozen=True, eq=False)
class Class:
    """Explanations that cannot be told apart, the likeliest first, and their joint log weight.

    `members` are those worth naming: none that is another of them with one more fault. `weight`
    counts all.
    """

    members: tuple[Explanation, ...]
    weight: float


def classes(shared: Shared, found: Sequence[Explanation]) -> list[Class]:
    """Explanations put together, the likeliest class first.

    One belongs to the class of the first whose readings it does not differ from by more than
    `Allowances.seen` in all, in standard deviations, and which it fits as well.
    """
    order = sorted(found, key=lambda explanation: -explanation.weight)
    told = [shared.misfit.white(one.fit.predicted) for one in order]
    groups: list[list[int]] = []
    for number, one in enumerate(order):
        for group in groups:
            head = order[group[0]]
            near = float(np.linalg.norm(told[group[0]] - told[number]))
            if (
                near <= shared.allowances.seen
                and abs(head.fit.evidence - one.fit.evidence) <= ALIKE
            ):
                group.append(number)
                break
        else:
            groups.append([number])
    made = [
        Class(
            _named([order[number] for number in group]),
            float(logsumexp([order[number].weight for number in group])),
        )
        for group in groups
    ]
    return sorted(made, key=lambda one: -one.weight)


def _named(members: Sequence[Explanation]) -> tuple[Explanation, ...]:
    names = [{blame.fault.name for blame in one.blames} for one in members]
    return tuple(
        one
        for one, own in zip(members, names, strict=True)
        if one.weight > members[0].weight - WORTH and not any(other < own for other in names)
    )
