"""What readings would be if an explanation held: what strayed with it, how well they agree."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from acoustics.listening.error import NEPER
from acoustics.studies.verification.bench.answers import Answers
from acoustics.studies.verification.diagnosis.explanation import Explanation
from acoustics.studies.verification.diagnosis.shared import Shared
from acoustics.studies.verification.diagnosis.unknown import chance_of_worse
from acoustics.studies.verification.misfit.points import NONE, as_answers


@dataclass(frozen=True)
class Strayed:
    """How far something seems to have strayed, in units of its usual spread, ± one deviation."""

    name: str
    share: float
    spread: float


@dataclass(frozen=True, eq=False)
class Expected:
    """What readings would be if an explanation held, and how well they agree.

    `answers` have delays and levels in them; `delays` (s) and `levels` (dB) are those of every
    response, 0 where nothing was free; `strayed` what strays; `misfit` the mean square of every
    reading's white numbers, about 1 or less where it is explained; `chance` the share of readings
    that would fit worse were it right.
    """

    answers: Answers
    delays: tuple[float, ...]
    levels: tuple[float, ...]
    strayed: tuple[Strayed, ...]
    misfit: tuple[float, ...]
    chance: float


def expected(shared: Shared, explanation: Explanation) -> Expected:
    """What the readings would be if an explanation held."""
    fit, points = explanation.fit, shared.points
    count = len(shared.strays)
    sums = shared.misfit.per_reading(fit.rest)
    first = [span.start for span in points.spans() if points.acoustic[span.start]]
    delays, gains = shared.freed(fit)
    sized = sum(blame.size is not None for blame in explanation.blames)
    return Expected(
        as_answers(fit.predicted, shared.bench.frequencies),
        tuple(_at(delays, points.clock[start]) for start in first),
        tuple(_at(gains, points.group[start]) / NEPER for start in first),
        tuple(
            Strayed(stray.name, float(share), float(spread))
            for stray, share, spread in zip(
                shared.strays, fit.shares[:count], fit.spreads[:count], strict=True
            )
        ),
        tuple(total / number for total, number in sums),
        chance_of_worse(fit, shared.free, sized),
    )


def _at(values: np.ndarray, number: int) -> float:
    return 0.0 if number == NONE else float(values[number])
