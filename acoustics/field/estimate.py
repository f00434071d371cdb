"""How far off a solution is, from a coarser one."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.field.block import Problem

SAFETY = 1.15
"""Measured: with it 95 of 100 true errors lie below the estimate, which is nine times as large in
the median (tests/field/test_error_estimate.py)."""

NULL_DEPTH = 20.0
"""dB below a pattern's maximum beyond which a level error is not counted."""


def error_shares(problem: Problem, fine: np.ndarray, coarse: np.ndarray) -> np.ndarray:
    """Error over the pattern's maximum at equal distance, (source, receiver).

    The difference from the coarser solution plus its median over all receivers, because at a single
    receiver it may vanish by chance; then its geometric mean with the root mean square over all.

    Args:
        problem: the sources and receivers.
        fine: complex (source, frequency, receiver), what is judged.
        coarse: likewise, what it is held against.
    """
    reach = _distances(problem)
    scale = _scale(fine, reach)
    share = (np.abs(coarse - fine) * reach / scale).max(axis=1)
    median = np.median(share, axis=-1, keepdims=True)
    over_all = np.sqrt(np.mean(share**2, axis=-1, keepdims=True))
    answer: np.ndarray = SAFETY * np.sqrt((share + median) * over_all)
    return answer


def estimated_levels(problem: Problem, pressure: np.ndarray, shares: np.ndarray) -> np.ndarray:
    """Error of every level in dB, (source, frequency, receiver), from `error_shares`."""
    reach = _distances(problem)
    size = np.maximum(np.abs(pressure) * reach, np.finfo(float).tiny)
    answer: np.ndarray = 20 * np.log10(1 + shares[:, None] * _scale(pressure, reach) / size)
    return answer


def largest_error(field: xr.DataArray) -> xr.DataArray:
    """Largest estimate at each frequency where the level is within 20 dB of the maximum, dB.

    Levels are compared at equal distance: a near receiver must not make nulls of the far ones.

    Args:
        field: as `solve_field` gives it.

    Returns:
        dB, dims (frequency).
    """
    apart = sum((field[axis] - field[f"piston_{axis}"]) ** 2 for axis in "xyz")
    size = abs(field) * apart**0.5
    counts = size >= size.max("receiver") * 10 ** (-NULL_DEPTH / 20)
    answer: xr.DataArray = field.error_estimate.where(counts, 0.0).max(("piston", "receiver"))
    return answer


def _distances(problem: Problem) -> np.ndarray:
    """From the sources to the receivers, m, (source, 1, receiver)."""
    centres = np.array([source.centre for source in problem.sources])
    away = problem.receivers[None] - centres[:, None]
    return np.linalg.norm(away, axis=-1)[:, None]


def _scale(pressure: np.ndarray, reach: np.ndarray) -> np.ndarray:
    answer: np.ndarray = (np.abs(pressure) * reach).max(axis=-1, keepdims=True)
    return np.maximum(answer, np.finfo(float).tiny)
