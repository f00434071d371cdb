"""The band in which two drivers share the sound, from bare arrays, measured or predicted."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from acoustics.listening.delay import group_delay
from acoustics.listening.interpolation import cubic

OVERLAP = 10.0
"""dB: two drivers overlap where their levels are no farther apart (common practice, no source).

Beyond, the weaker one has at most 0.32 of the stronger one's pressure, and in whatever phase it
comes the sum lies at most 5.7 dB below that of both in phase: no dip outside is deeper.
"""

NEAR = 1.0
"""octaves: an overlap that lies farther from the crossover is another one"""

PER_OCTAVE = 96
"""points per octave between which an overlap is followed, 1/96 octave being 0.7 %"""

DEEPEST = 60.0
"""dB: a deeper null is told as this deep; no room and no microphone shows more."""


@dataclass(frozen=True)
class Pair:
    """Two pressures without the delay that both share, so that they may be followed between.

    `frequency` (point,), Hz, ascending; `lower` and `upper` (point,), complex, any common unit.
    """

    frequency: np.ndarray
    lower: np.ndarray
    upper: np.ndarray

    def at(self, frequency: np.ndarray) -> Pair:
        """The same at other frequencies (Hz), by a local cubic in log frequency."""
        both = np.stack((self.lower, self.upper))
        lower, upper = cubic(np.log(self.frequency), both, np.log(frequency))
        return Pair(frequency, lower, upper)

    @property
    def apart(self) -> np.ndarray:
        """Level of the upper above that of the lower, dB."""
        return _decibels(np.abs(self.upper)) - _decibels(np.abs(self.lower))

    @property
    def phase(self) -> np.ndarray:
        """Phase of the upper relative to the lower, degrees, −180 to 180."""
        return np.degrees(np.angle(self.upper * np.conj(self.lower)))

    @property
    def weight(self) -> np.ndarray:
        """How much both count: 1 where they are equal, 0 where one plays alone.

        It is what the cosine of the phase is multiplied by in the power of the sum.
        """
        power = np.abs(self.lower) ** 2 + np.abs(self.upper) ** 2
        both = 2 * np.abs(self.lower) * np.abs(self.upper)
        return both / np.maximum(power, np.finfo(float).tiny)

    def below_in_phase(self, sign: int = 1) -> np.ndarray:
        """How far the sum, or with −1 the difference, lies below the sum in phase, dB.

        20·lg of (|a| + |b|)/|a ± b|; at equal levels that is −20·lg|cos φ/2| of the sum and
        −20·lg|sin φ/2| of the difference. At most `DEEPEST`.
        """
        most = np.abs(self.lower) + np.abs(self.upper)
        down = _decibels(most) - _decibels(np.abs(self.lower + sign * self.upper))
        # Rounding must not make a sum in phase louder than itself.
        return np.clip(down, 0.0, DEEPEST)


def pair_of(frequency: np.ndarray, lower: np.ndarray, upper: np.ndarray) -> Pair:
    """Two pressures without the delay that both share.

    Args:
        frequency: Hz, ascending, shape (frequency,). A long delay may be left in the pressures as
            long as the frequencies start close together, see `group_delay`.
        lower: pressure of what plays below the crossover, complex, exp(+jωt), shape (frequency,).
        upper: of what plays above it, likewise; both from the same instant on.
    """
    both = np.stack((lower, upper)).astype(complex)
    if frequency.size > 1:
        # Step by step that of whichever is louder: far out of its band a driver drowns in noise,
        # and a turn miscounted there would be carried on.
        step = (both[:, 1:] * both[:, :-1].conj()).sum(axis=0)
        common = np.concatenate(([1.0], np.cumprod(np.exp(1j * np.angle(step)))))
        play = np.abs(both[:, 1:] * both[:, :-1]).prod(axis=0)
        late = (play * group_delay(common, frequency)).sum()
        late /= max(play.sum(), np.finfo(float).tiny)
        both = both * np.exp(2j * np.pi * frequency * late)
    return Pair(frequency, both[0], both[1])


def overlap_of(pair: Pair, crossover: float) -> Pair | None:
    """The overlap about a crossover, followed at close frequencies, its ends included.

    Args:
        pair: over any frequencies.
        crossover: Hz, about where the one hands over to the other.

    Returns:
        The contiguous band in which both are within `OVERLAP` of each other that holds the
        crossover, or lies nearest to it; None where there is none within an octave.
    """
    if pair.frequency.size < 2:
        return None
    low, high = np.log2(pair.frequency[[0, -1]])
    fine = np.linspace(low, high, int(np.ceil((high - low) * PER_OCTAVE)) + 1)
    apart = pair.at(2.0**fine).apart
    inside = np.concatenate(([False], np.abs(apart) <= OVERLAP, [False]))
    change = np.diff(inside.astype(int))
    first, last = np.flatnonzero(change == 1), np.flatnonzero(change == -1) - 1
    if first.size == 0:
        return None
    at = np.log2(crossover)
    away = np.maximum(np.maximum(fine[first] - at, at - fine[last]), 0.0)
    chosen = int(np.argmin(away))
    if away[chosen] > NEAR:
        return None
    start, stop = int(first[chosen]), int(last[chosen])
    ends = (_end(fine, apart, start, -1), _end(fine, apart, stop, 1))
    band = np.unique(np.concatenate((ends[:1], fine[start : stop + 1], ends[1:])))
    return pair.at(2.0 ** np.clip(band, low, high))


def _end(x: np.ndarray, apart: np.ndarray, inner: int, step: int) -> float:
    """Where the levels come to be `OVERLAP` apart next to the last point at which they are not."""
    outer = inner + step
    if not 0 <= outer < x.size:
        return float(x[inner])
    limit = np.copysign(OVERLAP, apart[outer])
    part = (limit - apart[inner]) / (apart[outer] - apart[inner])
    return float(x[inner] + np.clip(part, 0.0, 1.0) * (x[outer] - x[inner]))


def _decibels(size: np.ndarray) -> np.ndarray:
    return 20 * np.log10(np.maximum(size, np.finfo(float).tiny))
