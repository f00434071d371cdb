"""The front between two aims: layouts that no other beats in both, and its knee."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from acoustics.studies.layout_search.optimiser import not_beaten
from acoustics.studies.layout_search.rounded import nearest_sawn
from acoustics.studies.layout_search.variant import Variant

TOLD = 12
"""layouts of a front that are solved by themselves and told, at most"""


def front_of(
    judged: Sequence[tuple[Variant, np.ndarray, np.ndarray]],
    known: Sequence[tuple[Variant, np.ndarray]],
) -> list[tuple[Variant, np.ndarray]]:
    """Layouts of the front, spread over it, its ends among them, rounded to what can be sawn.

    Args:
        judged: of each variant, the rows and aims (less being better) of all layouts judged.
        known: layouts that are to be on it if nothing beats them.
    """
    rows = [row for _, some, _ in judged for row in some]
    variants = [variant for variant, some, _ in judged for _ in some]
    aims = np.concatenate([each for _, _, each in judged])
    kept = not_beaten(aims)
    _, scale = ends_of(aims)
    steps = np.linalg.norm(np.diff(aims[kept] / scale, axis=0), axis=1)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    wanted = np.linspace(0.0, along[-1], min(TOLD, kept.size))
    chosen = np.unique([int(np.abs(along - at).argmin()) for at in wanted])
    spread = [(variants[n], nearest_sawn(variants[n], rows[n])) for n in kept[chosen]]
    return [*known, *spread]


def ends_of(aims: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The best of either aim, dB, and how far each varies along the front: (aim,)."""
    front = aims[not_beaten(aims)]
    return front.min(axis=0), np.maximum(np.ptp(front, axis=0), 1e-6)


def knee_of(aims: np.ndarray) -> int:
    """Which layout of a front gives up least of either aim: farthest from its ends' chord.

    Das, Structural Optimization 18, 1999, 107 (from memory). The first where all lie on it.

    Args:
        aims: of the front, less being better, (layout, aim), by the first ascending.
    """
    ideal, scale = ends_of(aims)
    parts = (aims - ideal) / scale
    return int(parts.sum(axis=1).argmin())
