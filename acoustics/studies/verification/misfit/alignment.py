"""Delays and levels that nobody knows, found before all else as they turn the phase many times."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from acoustics.listening.error import NEPER
from acoustics.studies.verification.misfit.allowances import Allowances
from acoustics.studies.verification.misfit.coarse_delay import coarse_delay
from acoustics.studies.verification.misfit.points import NONE, Points

PER_PERIOD = 6
"""steps of the search in the shortest period"""

REACH = 2.5e-3
"""s either way: what a fault may add to a delay"""


@dataclass(frozen=True, eq=False)
class Alignment:
    """Delay (s) of each clock and gain (nepers) of each free level."""

    delays: np.ndarray
    gains: np.ndarray

    def applied(self, points: Points, predicted: np.ndarray) -> np.ndarray:
        """Predictions (…, point) as they come delayed and at these levels."""
        return predicted * np.exp(self.exponent(points))

    def exponent(self, points: Points) -> np.ndarray:
        """The logarithm of what is applied, shape (point,)."""
        late = np.where(points.clock == NONE, 0.0, np.append(self.delays, 0.0)[points.clock])
        loud = np.where(points.group == NONE, 0.0, np.append(self.gains, 0.0)[points.group])
        answer: np.ndarray = loud - 2j * np.pi * points.frequency * late
        return answer


@dataclass(frozen=True, eq=False)
class Search:
    """Delays that are tried for a clock: s, and what each does to its points (delay, point)."""

    points: np.ndarray
    tried: np.ndarray
    turned: np.ndarray


def first_delays(points: Points, predicted: np.ndarray) -> np.ndarray:
    """About how late every clock is, s, by `coarse_delay`, whatever its readings' polarity.

    Args:
        points: what is compared.
        predicted: without delay, shape (point,).
    """
    found = []
    for clock in range(int(points.clock.max()) + 1):
        readings = np.unique(points.reading[points.clock == clock])
        own = [points.reading == reading for reading in readings]
        ratios = [points.measured[at] / predicted[at] for at in own]
        found.append(coarse_delay([points.frequency[at] for at in own], ratios))
    return np.array(found)


def searches(points: Points, delays: np.ndarray) -> tuple[Search, ...]:
    """Of every clock, about its delay (clock,), s."""
    found = []
    for clock, middle in enumerate(delays):
        own = points.clock == clock
        omega = 2 * np.pi * points.frequency[own]
        step = 2 * np.pi / (omega.max() * PER_PERIOD)
        count = np.ceil(REACH / step)
        tried = middle + step * np.arange(-count, count + 1)
        found.append(Search(own, tried, np.exp(1j * np.outer(tried, omega))))
    return tuple(found)


def aligned(points: Points, predicted: np.ndarray, where: tuple[Search, ...]) -> Alignment:
    """Delays and gains at which a prediction (point,) comes nearest to the readings.

    Each delay is that at which the sum over its clock of measurement times conjugate prediction,
    weighted, has the largest real part: the correlation's peak, polarity counted. Each gain is that
    of least squares of sizes.

    Args:
        points: what is compared.
        predicted: without delay.
        where: to look for every clock.
    """
    groups = int(points.group.max()) + 1
    weight = 1 / (points.scale**2 * (points.noise**2 + points.model**2))
    cross = weight * np.conj(predicted) * points.measured
    delays = np.array([_peak(clock.tried, clock.turned @ cross[clock.points]) for clock in where])
    gains = np.zeros(groups)
    for group in range(groups):
        own = points.group == group
        sizes = weight[own] * np.abs(predicted[own])
        ratio = (sizes @ np.abs(points.measured[own])) / (sizes @ np.abs(predicted[own]))
        gains[group] = np.log(ratio)
    return Alignment(delays, gains)


def free_changes(points: Points, allowances: Allowances) -> np.ndarray:
    """What a usual delay of each clock, then a usual gain of each level does to a prediction.

    Relative changes, shape (clock + level, point), complex.
    """
    late = -2j * np.pi * points.frequency * allowances.delay
    rows = [np.where(points.clock == c, late, 0) for c in range(int(points.clock.max()) + 1)]
    loud = allowances.level * NEPER
    rows += [np.where(points.group == g, loud + 0j, 0) for g in range(int(points.group.max()) + 1)]
    return np.array(rows, complex).reshape(-1, points.frequency.size)


def _peak(tried: np.ndarray, sums: np.ndarray) -> float:
    height = sums.real
    best = int(np.clip(np.argmax(height), 1, tried.size - 2))
    below, at, above = height[best - 1 : best + 2]
    curved = below - 2 * at + above
    shift = 0.5 * (below - above) / curved if curved < 0 else 0.0
    return float(tried[best] + np.clip(shift, -1, 1) * (tried[1] - tried[0]))
