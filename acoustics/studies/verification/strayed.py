"""How small things that stray change what a build would read, as relative changes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from acoustics.studies.verification.answers import Bench
from acoustics.studies.verification.built import Built
from acoustics.studies.verification.points import in_a_row
from acoustics.studies.verification.strays import Stray

STEP = 0.05
"""of a spread: by which each is moved to see what it changes"""

MOST = 3.0
"""nepers: a change by one spread is no larger, even in a null"""


def stray_changes(
    bench: Bench, built: Built, strays: Sequence[Stray], shares: np.ndarray, row: np.ndarray
) -> np.ndarray:
    """Change of the logarithm of what is read for one spread of each stray.

    A prediction times the exponential of such a change follows delays and levels however large they
    are, and all else to first order. The difference is one-sided, toward where it strays less.

    Args:
        bench: where it stands.
        built: what stands there, nothing strayed.
        strays: what strays.
        shares: how far each has strayed, in units of its spread.
        row: what is read there, shape (point,).

    Returns:
        Shape (stray, point), complex.
    """
    changes = np.zeros((len(strays), row.size), complex)
    for number, share in enumerate(shares):
        step = -STEP if share > 0 else STEP
        moved = shares.copy()
        moved[number] += step
        there = in_a_row(bench.answers(strayed(built, strays, moved)))
        changes[number] = log_ratio(there, row) / step
    return changes


def log_ratio(above: np.ndarray, below: np.ndarray, most: float = MOST) -> np.ndarray:
    """Logarithm of a ratio, its real part within `most`, its imaginary part within ±π."""
    tiny = np.finfo(float).tiny
    size = np.log(np.maximum(np.abs(above), tiny)) - np.log(np.maximum(np.abs(below), tiny))
    return np.clip(size, -most, most) + 1j * np.angle(above * np.conj(below))


def strayed(built: Built, strays: Sequence[Stray], shares: np.ndarray) -> Built:
    """A build with every stray off by a share of its spread."""
    for stray, share in zip(strays, shares, strict=True):
        if share:
            built = stray.changed(built, float(share))
    return built
