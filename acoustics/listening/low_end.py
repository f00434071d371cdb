"""How far down a curve keeps above a limit."""

from __future__ import annotations

import numpy as np


def low_end(frequency: np.ndarray, margin: np.ndarray, start: float) -> float:
    """Lowest frequency down to which a margin is nowhere negative, going down from `start`.

    Where it is negative at `start` already, the first frequency above from which it is not. What
    lies above that is not asked for.

    Args:
        frequency: Hz, ascending, shape (frequency,).
        margin: by how much a curve is above its limit, dB, shape (frequency,); straight in log
            frequency between its points.
        start: Hz.

    Returns:
        Hz; the lowest of the frequencies where the margin lasts to the end, NaN where there is
        none at all.
    """
    within = margin >= 0
    first = min(int(np.searchsorted(frequency, start)), frequency.size - 1)
    above = np.flatnonzero(within[first:])
    if not above.size:
        return float("nan")
    below = np.flatnonzero(~within[: first + int(above[0])])
    if not below.size:
        return float(frequency[0])
    last = int(below[-1])
    lower, upper = margin[last], margin[last + 1]
    if not np.isfinite(upper - lower):
        return float(frequency[last + 1])
    part = lower / (lower - upper)
    return float(frequency[last] * (frequency[last + 1] / frequency[last]) ** part)
