"""Where one driver hands over to the next: the acoustic crossover frequencies."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

MARGIN = 0.1
"""dB: drivers closer than this are alike; one takes the lead only by more than this."""


@dataclass(frozen=True)
class Crossing:
    """Frequency (Hz) above which driver `upper` is louder than driver `lower` (indices)."""

    frequency: float
    lower: int
    upper: int


def leaders(strength: np.ndarray) -> np.ndarray:
    """Which driver leads at each frequency, as an index, shape (frequency,).

    The leader keeps the lead until another is louder by more than `MARGIN`, so that drivers that
    play alike do not take turns by rounding; of drivers alike the first leads.

    Args:
        strength: magnitude of filter × source, any common unit, shape (driver, frequency).
    """
    level = _decibels(strength)
    lead = level.argmax(axis=0)
    alike = level.max(axis=0) - level <= MARGIN
    # Where one is alone at the top it leads, whoever led before.
    for place in np.flatnonzero(alike.sum(axis=0) > 1).tolist():
        may = alike[:, place]
        if place:
            holder = lead[place - 1]
            may = may & (level[:, place] - level[holder, place] > MARGIN)
        lead[place] = may.argmax() if may.any() else holder
    return lead


def crossings(frequency: np.ndarray, strength: np.ndarray) -> tuple[Crossing, ...]:
    """Where the lead passes from one driver to another, ascending.

    Only the leading driver counts (see `leaders`), so curves that cross far below the sum make no
    crossover. A driver that was never louder than its successor by `MARGIN` hands nothing over:
    the two played alike until one of them ended, as the woofers of a two-and-a-half-way do. The
    frequency is where the two levels were last equal, interpolated in log frequency.

    Args:
        frequency: Hz, ascending, shape (frequency,).
        strength: magnitude of filter × source, any common unit, shape (driver, frequency).
    """
    level = _decibels(strength)
    lead = leaders(strength)
    found = []
    since = 0
    for change in np.flatnonzero(np.diff(lead)) + 1:
        lower, upper = int(lead[change - 1]), int(lead[change])
        ahead = level[lower, since : change + 1] - level[upper, since : change + 1]
        if ahead.max() > MARGIN:
            last = int(np.flatnonzero(ahead >= 0)[-1])
            part = ahead[last] / (ahead[last] - ahead[last + 1])
            low, high = frequency[since + last], frequency[since + last + 1]
            found.append(Crossing(float(low * (high / low) ** part), lower, upper))
        since = int(change)
    return tuple(found)


def _decibels(strength: np.ndarray) -> np.ndarray:
    return 20 / math.log(10) * np.log(np.maximum(strength, np.finfo(float).tiny))
