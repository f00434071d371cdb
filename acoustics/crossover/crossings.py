"""Where one driver hands over to the next: the acoustic crossover frequencies."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from acoustics.case.model import Case
from acoustics.crossover.branch import crossover_response
from acoustics.source.constant import constant_sensitivity


@dataclass(frozen=True)
class Crossing:
    """Frequency (Hz) above which driver `upper` is louder than driver `lower` (indices)."""

    frequency: float
    lower: int
    upper: int


def crossings(frequency: np.ndarray, strength: np.ndarray) -> tuple[Crossing, ...]:
    """Where the strongest driver changes, ascending; interpolated in log frequency.

    Only the strongest driver counts, so curves that cross far below the sum make no crossover;
    drivers of equal strength (two woofers in parallel) count as the first of them.

    Args:
        frequency: Hz, ascending, shape (frequency,).
        strength: magnitude of filter × source, any common unit, shape (driver, frequency).
    """
    level = np.log(np.maximum(strength, np.finfo(float).tiny))
    strongest = np.argmax(level, axis=0)
    found = []
    for step in np.flatnonzero(np.diff(strongest)):
        lower, upper = int(strongest[step]), int(strongest[step + 1])
        lead = level[lower, step : step + 2] - level[upper, step : step + 2]
        part = lead[0] / (lead[0] - lead[1]) if lead[0] != lead[1] else 0.5
        ratio = frequency[step + 1] / frequency[step]
        found.append(Crossing(float(frequency[step] * ratio**part), lower, upper))
    return tuple(found)


def case_crossings(case: Case, frequency: np.ndarray) -> tuple[Crossing, ...]:
    """Find the acoustic crossovers of a design: where two drivers' |filter × source| cross.

    Args:
        case: the design.
        frequency: Hz, ascending, shape (frequency,).
    """
    source = np.array([constant_sensitivity(d, frequency, case.air) for d in case.drivers])
    return crossings(frequency, np.abs(crossover_response(case, frequency) * source))
