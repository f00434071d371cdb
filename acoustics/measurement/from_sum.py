"""Delay between two drivers from three levels: each alone, and both together."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.optimize import minimize_scalar

from acoustics.conventions import RoundoverError
from acoustics.curves.minimum_phase import FEWEST, Tails, fitted_tails, minimum_phase
from acoustics.listening.bands import in_band
from acoustics.measurement.excess_delay import COVERAGE, Delay, of_one_order, other_tails

PER_PERIOD = 16
"""Delays tried in every period of the band's highest frequency."""

APART = 1.5
"""Ratio of rms errors from which on the best delay is better than any other."""


@dataclass(frozen=True)
class _Sum:
    """Powers of both drivers and of their sum, and the difference of their minimum phases."""

    frequency: np.ndarray
    first: np.ndarray
    second: np.ndarray
    both: np.ndarray
    phase: np.ndarray

    def error(self, delay: float, polarity: int) -> float:
        """Rms of what the sum's power differs by, over that of both in phase."""
        turn = self.phase - 2 * np.pi * self.frequency * delay
        mixed = 2 * polarity * self.first * self.second * np.cos(turn)
        off = self.first**2 + self.second**2 + mixed - self.both**2
        return float(np.sqrt(np.mean((off / (self.first + self.second) ** 2) ** 2)))

    def near(self, delay: float, polarity: int, step: float) -> float:
        """The best delay within a step of one."""
        found = minimize_scalar(
            lambda tried: self.error(tried, polarity),
            bounds=(delay - step, delay + step),
            method="bounded",
            options={"xatol": 1e-10},
        )
        return float(found.x)

    def part(self, which: np.ndarray) -> _Sum:
        """The same at some of the frequencies."""
        return _Sum(
            self.frequency[which],
            self.first[which],
            self.second[which],
            self.both[which],
            self.phase[which],
        )


def relative_delay_from_sum(
    frequency: np.ndarray,
    first: np.ndarray,
    second: np.ndarray,
    both: np.ndarray,
    band: tuple[float, float],
    *,
    longest: float = 0.5e-3,
    tails: tuple[Tails | None, Tails | None] = (None, None),
) -> Delay:
    """How much later the second driver's sound comes, from levels alone.

    Nothing is asked of the clock: |first + second·exp(−jωτ)| of the two minimum phases is fitted to
    the level of both playing together, microphone and cabinet unmoved. The polarity comes with it.

    Args:
        frequency: Hz, ascending, shape (frequency,).
        first: magnitude of one driver, or its complex response, shape (frequency,).
        second: of the other.
        both: of both together, from the same input.
        band: Hz, where the two are about equally strong: about their crossover.
        longest: delay that may be, s, either way.
        tails: of the first and of the second; fitted and varied where None.

    Returns:
        Seconds, positive if the second is later. The uncertainty is from both halves of the band
        and from the tails beyond the frequencies; infinite if another delay fits as well.
    """
    one, other, together = (np.abs(curve) for curve in (first, second, both))
    inside = in_band(frequency, band)
    if np.count_nonzero(inside) < 2 * FEWEST:
        raise RoundoverError(
            f"the band from {band[0]:g} to {band[1]:g} Hz holds {np.count_nonzero(inside)} of the "
            f"frequencies, too few for a delay; take {2 * FEWEST} or more"
        )

    def summed(tails: tuple[Tails, Tails]) -> _Sum:
        phases = [
            minimum_phase(frequency, curve, at=frequency[inside], tails=tail)
            for curve, tail in zip((one, other), tails, strict=True)
        ]
        return _Sum(
            frequency[inside],
            one[inside],
            other[inside],
            together[inside],
            phases[1] - phases[0],
        )

    believed = (
        tails[0] or fitted_tails(frequency, one),
        tails[1] or fitted_tails(frequency, other),
    )
    case = summed(believed)
    step = 1 / (PER_PERIOD * frequency[inside][-1])
    tried = step * np.arange(-math.ceil(longest / step), math.ceil(longest / step) + 1)
    minima = [
        (case.error(best, polarity), best, polarity)
        for polarity in (1, -1)
        for best in _minima(case, tried, polarity, step)
    ]
    least, delay, polarity = min(minima)
    apart = [error for error, at, sign in minima if abs(at - delay) > step or sign != polarity]
    if apart and min(apart) < APART * least:
        return Delay(delay, math.inf, polarity)
    middle = math.sqrt(band[0] * band[1])
    halves = [
        case.part(side).near(delay, polarity, step)
        for side in (case.frequency <= middle, case.frequency > middle)
    ]
    changes, unseen = [0.0], 0.0
    for number, curve in enumerate((one, other)):
        if tails[number] is not None:
            continue
        unseen = math.hypot(unseen, of_one_order(frequency[-1]))
        for part, tail in other_tails(frequency, curve, believed[number], None):
            if part == slice(None):
                pair = (tail, believed[1]) if number == 0 else (believed[0], tail)
                changes.append(summed(pair).near(delay, polarity, step) - delay)
    spread = math.hypot((halves[1] - halves[0]) / 2, max(changes, key=abs), unseen)
    return Delay(delay, COVERAGE * spread, polarity)


def _minima(case: _Sum, tried: np.ndarray, polarity: int, step: float) -> list[float]:
    """Delays that fit better than their neighbours."""
    error = np.array([case.error(float(delay), polarity) for delay in tried])
    low = np.flatnonzero((error[1:-1] <= error[:-2]) & (error[1:-1] <= error[2:])) + 1
    return [case.near(float(tried[place]), polarity, step) for place in low]
