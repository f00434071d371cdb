"""How small things that stray change what a build would read, as relative changes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from acoustics.studies.verification.bench.answers import Bench
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.bench.kept import Kept
from acoustics.studies.verification.misfit.points import in_a_row
from acoustics.studies.verification.strays.strays import Part, Stray

STEP = 0.05
"""of a spread: by which each is moved to see what it changes"""

MOST = 3.0
"""nepers: a change by one spread is no larger, even in a null"""


def stray_changes(
    bench: Bench, there: Built, strays: Sequence[Stray], shares: np.ndarray, row: np.ndarray
) -> np.ndarray:
    """Change of the logarithm of what is read for one spread of each stray.

    A prediction times the exponential of such a change follows delays and levels however large they
    are, and all else to first order. The difference is one-sided, toward where it strays less. Each
    strays on from where all are, so that whatever it leaves alone stays the very same.

    Args:
        bench: where it stands.
        there: what stands there, all strayed.
        strays: what strays.
        shares: how far each has strayed, in units of its spread.
        row: what is read there, shape (point,).

    Returns:
        Shape (stray, point), complex.
    """
    changes = np.zeros((len(strays), row.size), complex)
    for number, (stray, share) in enumerate(zip(strays, shares, strict=True)):
        step = -STEP if share > 0 else STEP
        moved = in_a_row(bench.answers(stray.changed(there, step)))
        changes[number] = log_ratio(moved, row) / step
    return changes


def log_ratio(above: np.ndarray, below: np.ndarray, most: float = MOST) -> np.ndarray:
    """Logarithm of a ratio, its real part within `most`, its imaginary part within ±π."""
    tiny = np.finfo(float).tiny
    size = np.log(np.maximum(np.abs(above), tiny)) - np.log(np.maximum(np.abs(below), tiny))
    return np.clip(size, -most, most) + 1j * np.angle(above * np.conj(below))


class Straying:
    """Strays one and all; what two builds have in common once strayed is the very same.

    So whoever keeps what was worked out of one finds it again for the other. For one thread.
    """

    def __init__(self, strays: Sequence[Stray]) -> None:
        self.strays = tuple(strays)
        self._kept = Kept()

    def strayed(self, built: Built, shares: np.ndarray) -> Built:
        """A build with every stray off by a share of its spread."""
        far = [(stray, float(by)) for stray, by in zip(self.strays, shares, strict=True) if by]
        changed: dict[str, Any] = {}
        for part in dict.fromkeys(stray.of for stray, _ in far if stray.of):
            own = [(stray, by) for stray, by in far if stray.of == part]
            changed[part] = self._part(built, part, own)
        if changed:
            built = replace(built, case=replace(built.case, **changed))
        rest = [(stray, by) for stray, by in far if stray.of is None]
        return strayed(built, [stray for stray, _ in rest], np.array([by for _, by in rest]))

    def _part(self, built: Built, part: Part, own: Sequence[tuple[Stray, float]]) -> Any:
        strays, shares = [stray for stray, _ in own], [by for _, by in own]
        return self._kept.get(
            part,
            (getattr(built.case, part),),
            (*(stray.name for stray in strays), *shares),
            lambda: getattr(strayed(built, strays, np.array(shares)).case, part),
        )


def strayed(built: Built, strays: Sequence[Stray], shares: np.ndarray) -> Built:
    """A build with every stray off by a share of its spread."""
    for stray, share in zip(strays, shares, strict=True):
        if share:
            built = stray.changed(built, float(share))
    return built
