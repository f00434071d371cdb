"""At which frequencies the page looks at lobes."""

from __future__ import annotations

import numpy as np

from acoustics.listening.interpolation import POINTS

APART = np.sqrt(2.0)
"""round an only crossover: half an octave to either side"""

MOST = 3
"""curves that one picture tells apart"""

USUAL = (2000.0, 1000.0, 4000.0)
"""Hz: where nothing hands over"""


def looks_at(crossovers: np.ndarray) -> np.ndarray:
    """Frequencies at which lobes are looked at, Hz, (look,), the most important first.

    Args:
        crossovers: where drivers hand over, Hz, ascending, (crossover,).
    """
    if crossovers.size == 1:
        return crossovers[0] * np.array([1.0, 1.0 / APART, APART])
    return crossovers[-MOST:] if crossovers.size else np.array(USUAL)


def looked_round(frequency: np.ndarray, crossovers: np.ndarray) -> np.ndarray:
    """Which frequencies take part in a look, or in what is told of the crossovers, a mask."""
    wanted = np.zeros(frequency.size, dtype=bool)
    around = POINTS // 2
    for place in np.searchsorted(frequency, [*looks_at(crossovers), *crossovers]):
        start = int(np.clip(place - around, 0, max(frequency.size - POINTS, 0)))
        wanted[start : start + POINTS] = True
    return wanted


def nearest(frequency: np.ndarray, at: np.ndarray) -> np.ndarray:
    """The frequencies nearest to some others, as indices, (look,)."""
    answer: np.ndarray = np.abs(np.log(frequency[:, None] / at)).argmin(axis=0)
    return answer
