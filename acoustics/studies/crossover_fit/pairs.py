"""Values that no single part has, made of two: capacitors side by side, resistors in a row."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from acoustics.case.design.fit_model import Series
from acoustics.crossover.standard_values import SMALLEST_SHARE, between
from acoustics.studies.crossover_fit.outcome import Outcome
from acoustics.studies.crossover_fit.question import Trial
from acoustics.studies.crossover_fit.score import score_of


def with_pairs(trial: Trial, known: Outcome) -> Outcome:
    """Replace single parts by two as long as there may be more, and each is worth it.

    Every pair whose sum lies between a part's neighbours in its series is tried; the one that
    brings most comes first.
    """
    fit = trial.question.fit

    def score(outcome: Outcome) -> float:
        return score_of(fit, trial.kinds, outcome)

    best = Outcome(known.values, known.cost, (0.0,) * len(known.values))
    while best.pieces < fit.most_parts:
        tried = list(_one_more(trial, best))
        if not tried:
            break
        next_best = min(tried, key=score)
        if score(next_best) >= score(best):
            break
        best = next_best
    return best


def _one_more(trial: Trial, known: Outcome) -> Iterator[Outcome]:
    """Everything that one more pair can make of the parts."""
    for part, kind in enumerate(trial.kinds):
        if kind == "inductor" or known.seconds[part]:
            continue
        for first, second in pairs_about(known.values[part], trial.question.fit.series):
            values, seconds = list(known.values), list(known.seconds)
            values[part], seconds[part] = first + second, second
            cost = trial.cost(np.log(values))
            yield Outcome(tuple(values), cost, tuple(seconds))


def pairs_about(value: float, series: Series) -> Iterator[tuple[float, float]]:
    """Pairs of standard values, the greater first, whose sum lies between a value's neighbours."""
    low, high = value / STEP[series], value * STEP[series]
    for first in between(low / 2, high, series):
        for second in between(SMALLEST_SHARE * low, min(first, high - first), series):
            if low < first + second < high:
                yield first, second


STEP: dict[Series, float] = {"E12": 10 ** (1 / 12), "E24": 10 ** (1 / 24)}
"""From one standard value to the next, about."""
