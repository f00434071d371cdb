"""Finding the values of a candidate: near by, all over, and in parts that can be bought."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator

import numpy as np
from scipy.optimize import differential_evolution, least_squares

from acoustics.crossover.standard_values import between
from acoustics.studies.crossover_fit.candidates import Candidate
from acoustics.studies.crossover_fit.outcome import Outcome
from acoustics.studies.crossover_fit.pairs import with_pairs
from acoustics.studies.crossover_fit.question import Question, Trial, bounds, start_of, trial_of

SHIFTS = (0.7, 1.0, 1.4)
"""Corners to begin with, as shares of the spans' middles."""

TRIED, FINISHED, REFITTED = 12, 60, 6
"""steps of least squares: from every start, from the best, after a value is held"""

CROWD, GENERATIONS = 6, 60
"""Of the search all over: so many times the number of parts at once, and so often renewed."""

SPREAD = 0.5
"""Of the crowd round the best known values, in their logarithms"""

Vector = Callable[[np.ndarray], np.ndarray]


def found_near(question: Question, candidate: Candidate) -> Outcome:
    """The best of what is near textbook values, by least squares in the values' logarithms."""
    trials = [trial_of(question, candidate, shift) for shift in SHIFTS]
    limits = np.log(bounds(trials[0].kinds))
    tried = [_least(trial.vector, start_of(trial), limits, TRIED) for trial in trials]
    best = min(tried, key=lambda each: each[1])
    return _outcome(*_least(trials[0].vector, best[0], limits, FINISHED))


def found_all_over(question: Question, candidate: Candidate, known: Outcome) -> Outcome:
    """Differential evolution from a crowd round the best known values, then least squares.

    Storn and Price, J. Global Optimization 11, 1997, 341, as scipy has it. The crowd is drawn with
    the fit's seed.
    """
    trial = trial_of(question, candidate)
    low, high = np.log(bounds(trial.kinds))
    best = np.log(known.values)
    draw = np.random.default_rng(question.fit.seed)
    crowd = best + SPREAD * draw.standard_normal((CROWD * best.size, best.size))
    crowd[0] = best
    result = differential_evolution(
        trial.cost,
        np.transpose([low, high]),
        init=np.clip(crowd, low, high),
        maxiter=GENERATIONS,
        tol=1e-3,
        polish=False,
        rng=draw,
    )
    start = result.x if result.fun < known.cost else best
    return _outcome(*_least(trial.vector, start, (low, high), FINISHED))


def snapped(question: Question, candidate: Candidate, known: Outcome) -> Outcome:
    """Standard values: one part after the other is held, the others being fitted again.

    The part that is held next is the one that can be held at the least cost. Then single parts and
    pairs of parts are moved by a step of their series as long as that helps.
    """
    trial = trial_of(question, candidate)
    limits = np.log(bounds(trial.kinds))
    steps = [_steps(question, kind) for kind in trial.kinds]
    x = np.log(known.values)
    free = np.ones(x.size, dtype=bool)
    while free.any():
        x, held = _hold_one(trial, x, free, limits, steps)
        free[held] = False
    settled = _settled(trial, x, steps)
    return with_pairs(trial, settled) if question.fit.pairs else settled


def _hold_one(
    trial: Trial,
    x: np.ndarray,
    free: np.ndarray,
    limits: np.ndarray,
    steps: list[np.ndarray],
) -> tuple[np.ndarray, int]:
    """Hold the free part that costs least at a standard value, and fit the others again."""
    trials = []
    for part in map(int, np.flatnonzero(free)):
        for value in _around(steps[part], x[part]):
            moved = x.copy()
            moved[part] = value
            trials.append((trial.cost(moved), part, value))
    _, part, _ = min(trials)
    rest = free.copy()
    rest[part] = False
    results = []
    for value in sorted({value for _, number, value in trials if number == part}):
        moved = x.copy()
        moved[part] = value
        if rest.any():
            moved, cost = _refitted(trial, moved, rest, limits)
        else:
            cost = trial.cost(moved)
        results.append((cost, moved))
    return min(results, key=lambda each: each[0])[1], part


def _refitted(
    trial: Trial, x: np.ndarray, free: np.ndarray, limits: np.ndarray
) -> tuple[np.ndarray, float]:
    """Least squares over the free parts alone."""

    def of_free(part: np.ndarray) -> np.ndarray:
        whole = x.copy()
        whole[free] = part
        return trial.vector(whole)

    found, cost = _least(of_free, x[free], limits[:, free], REFITTED)
    whole = x.copy()
    whole[free] = found
    return whole, cost


def _settled(trial: Trial, x: np.ndarray, steps: list[np.ndarray]) -> Outcome:
    """Move one or two parts by a step of their series until nothing gets better."""
    place = [int(np.argmin(np.abs(own - value))) for own, value in zip(steps, x, strict=True)]

    def cost(places: list[int]) -> float:
        return trial.cost(np.array([own[p] for own, p in zip(steps, places, strict=True)]))

    best = cost(place)
    improved = True
    while improved:
        improved = False
        for moves in _moves(len(place)):
            tried = list(place)
            for part, way in moves:
                tried[part] += way
            if any(not 0 <= p < s.size for p, s in zip(tried, steps, strict=True)):
                continue
            now = cost(tried)
            if now < best * (1 - 1e-9):
                place, best, improved = tried, now, True
    values = tuple(float(np.exp(s[p])) for s, p in zip(steps, place, strict=True))
    return Outcome(values, best)


def _moves(parts: int) -> Iterator[tuple[tuple[int, int], ...]]:
    """Single parts up and down, then all pairs."""
    for part in range(parts):
        yield ((part, -1),)
        yield ((part, 1),)
    for one, other in itertools.combinations(range(parts), 2):
        for way, other_way in itertools.product((-1, 1), repeat=2):
            yield (one, way), (other, other_way)


def _steps(question: Question, kind: str) -> np.ndarray:
    """The logarithms of all standard values of a kind of part, ascending."""
    fit = question.fit
    series = fit.coil_series if kind == "inductor" else fit.series
    low, high = (float(limit[0]) for limit in bounds((kind,)))
    return np.log(between(low, high, series))


def _around(steps: np.ndarray, x: float) -> set[float]:
    """The standard values next to one, below and above."""
    above = int(np.searchsorted(steps, x))
    return {float(steps[np.clip(n, 0, steps.size - 1)]) for n in (above - 1, above)}


def _least(
    vector: Vector,
    start: np.ndarray,
    limits: np.ndarray | tuple[np.ndarray, np.ndarray],
    steps: int,
) -> tuple[np.ndarray, float]:
    """Least squares within limits: where it ended, and the sum of squares."""
    # A value held at an end, or one that comes back through exp and log, may be a rounding beyond.
    inside = np.clip(start, limits[0], limits[1])
    found = least_squares(vector, inside, bounds=(limits[0], limits[1]), max_nfev=steps)
    return found.x, float(2 * found.cost)


def _outcome(x: np.ndarray, cost: float) -> Outcome:
    return Outcome(tuple(float(value) for value in np.exp(x)), cost)
