"""Change of every value of a stack for small changes of what stands on the bench."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from acoustics.studies.verification.bench.answers import Bench
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.healthy.freedoms import Freedom
from acoustics.studies.verification.strays.stacked import Rows, laid_out, size_of
from acoustics.studies.verification.strays.strayed import stray_changes
from acoustics.studies.verification.strays.strays import Stray, microphone_stray


def tangent_of(
    bench: Bench,
    rows: Sequence[Rows],
    about: Built,
    strays: Sequence[Stray],
    shares: np.ndarray,
    row: np.ndarray,
) -> np.ndarray:
    """Change of every value per standard deviation of each stray, (value, stray).

    Args:
        bench: where it stands.
        rows: of its readings.
        about: what stands there, all strayed.
        strays: what strays.
        shares: how far each has strayed, in its standard deviations.
        row: what is read there, (point,).
    """
    answer = np.zeros((size_of(rows), len(strays)))
    for n, change in enumerate(stray_changes(bench, about, strays, shares, row)):
        answer[:, n] = laid_out(rows, change)
    return answer


def set_columns(
    bench: Bench, rows: Sequence[Rows], ways: Sequence[Freedom], about: Built, row: np.ndarray
) -> np.ndarray:
    """Change of every value per standard deviation of what is set, (value, freedom).

    That of the microphone's place is taken where it is by now, because two drivers some way apart
    come into step and out of it over a few centimetres.
    """
    answer = np.zeros((size_of(rows), len(ways)))
    for n, way in enumerate(ways):
        answer[:, n] = way.column(rows)
        if way.axis is not None:
            moved = (microphone_stray(way.axis, way.deviation),)
            answer[:, n] = tangent_of(bench, rows, about, moved, np.zeros(1), row)[:, 0]
    return answer
