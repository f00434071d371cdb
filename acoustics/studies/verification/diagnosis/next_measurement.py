"""What to measure next: that by which the likeliest explanations differ most."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import scipy.linalg as sl

from acoustics.studies.verification.bench.answers import Bench
from acoustics.studies.verification.diagnosis.explanation import Explanation
from acoustics.studies.verification.diagnosis.shared import Shared
from acoustics.studies.verification.misfit.alignment import aligned, searches
from acoustics.studies.verification.misfit.misfit import misfit_of
from acoustics.studies.verification.misfit.points import as_answers, in_a_row, points_of
from acoustics.studies.verification.readings.readings import Readings
from acoustics.studies.verification.strays.strayed import stray_changes
from acoustics.studies.wording import hertz

Imagine = Callable[[Readings], Bench]
"""The bench with other readings, whose values nobody knows yet."""

RIVALS = 4
"""explanations that a measurement is to tell apart"""


@dataclass(frozen=True)
class Shown:
    """What a measurement would show if an explanation is right.

    `words` say how it differs from what the first would show; empty for the first.
    """

    explanation: str
    words: str


@dataclass(frozen=True)
class NextMeasurement:
    """A measurement to make, how far it tells explanations apart, and what each would show.

    `apart` is in standard deviations, the mean over pairs of explanations weighted by both their
    probabilities.
    """

    name: str
    apart: float
    shown: tuple[Shown, ...]


def next_measurement(
    shared: Shared,
    rivals: Sequence[tuple[Explanation, float]],
    candidates: Sequence[Readings],
    imagine: Imagine,
) -> NextMeasurement | None:
    """The candidate that tells the likeliest explanations apart best.

    Args:
        shared: of the bench.
        rivals: explanations and their probabilities.
        candidates: each one reading that could be made.
        imagine: what would be read there.

    Returns:
        It, or None where none would show as much as `Allowances.seen`.
    """
    order = sorted(rivals, key=lambda rival: -rival[1])[:RIVALS]
    if len(order) < 2:
        return None
    best: tuple[float, Readings, Bench, list[np.ndarray]] | None = None
    for readings in candidates:
        bench = imagine(readings)
        rows = [_read(shared, bench, one) for one, _ in order]
        apart = _apart(shared, bench, order, rows)
        if best is None or apart > best[0]:
            best = (apart, readings, bench, rows)
    if best is None or best[0] < shared.allowances.seen:
        return None
    apart, readings, bench, rows = best
    grid = bench.frequencies
    frequency = np.concatenate([*grid.responses, *grid.impedances])
    name = (readings.responses or readings.impedances)[0].name
    says = _other_impedance if readings.impedances else _other_response
    shown = [Shown(said(order[0][0]), "")]
    for (one, _), row in zip(order[1:], rows[1:], strict=True):
        shown.append(Shown(said(one), says(frequency, row, rows[0])))
    return NextMeasurement(name, apart, tuple(shown))


def said(explanation: Explanation) -> str:
    """An explanation in words."""
    words = [blame.words for blame in explanation.blames]
    return " and ".join(words) if words else "it is as designed"


def _read(shared: Shared, bench: Bench, one: Explanation) -> np.ndarray:
    built = one.built(shared.bench.design)
    own = shared.own(one.fit.shares)
    return in_a_row(bench.answers(shared.straying.strayed(built, own)))


def _apart(
    shared: Shared,
    bench: Bench,
    order: Sequence[tuple[Explanation, float]],
    rows: Sequence[np.ndarray],
) -> float:
    """Mean distance of the explanations' readings, weighted by both probabilities.

    A delay and a level that nobody knows are taken out, and what may have strayed as far as the
    readings at hand leave it open.
    """
    first, row = order[0][0], rows[0]
    points = points_of(bench, shared.allowances, as_answers(row, bench.frequencies))
    misfit = misfit_of(points, shared.allowances)
    where = searches(points, np.zeros(int(points.clock.max()) + 1))
    count = len(shared.strays)
    shares = shared.own(first.fit.shares)
    there = shared.straying.strayed(first.built(shared.bench.design), shares)
    changes = stray_changes(bench, there, shared.strays, shares, row)
    known = sl.cho_solve(first.fit.curvature, np.eye(len(first.fit.shares)))[:count, :count]
    slopes = misfit.white_change(row, changes)
    covariance = np.eye(misfit.measured.size) + slopes.T @ known @ slopes
    lower = np.linalg.cholesky(covariance)
    white = [misfit.white(aligned(points, each, where).applied(points, each)) for each in rows]
    total = weight = 0.0
    for one in range(len(rows)):
        for other in range(one + 1, len(rows)):
            share = order[one][1] * order[other][1]
            apart = sl.solve_triangular(lower, white[one] - white[other], lower=True)
            total += share * float(np.linalg.norm(apart))
            weight += share
    return total / weight if weight > 0 else 0.0


def _other_response(frequency: np.ndarray, row: np.ndarray, first: np.ndarray) -> str:
    """How a response differs from the first."""
    level = 20 * np.log10(np.abs(row) / np.abs(first))
    at = int(np.argmax(np.abs(level)))
    way = "louder" if level[at] > 0 else "quieter"
    return f"up to {abs(level[at]):.1f} dB {way}, at {hertz(float(frequency[at]))}"


def _other_impedance(frequency: np.ndarray, row: np.ndarray, first: np.ndarray) -> str:
    """How an impedance differs from the first."""
    at = int(np.argmax(np.abs(np.log(np.abs(row) / np.abs(first)))))
    return (
        f"{abs(row[at]):.1f} ohm instead of {abs(first[at]):.1f} ohm at "
        f"{hertz(float(frequency[at]))}"
    )
