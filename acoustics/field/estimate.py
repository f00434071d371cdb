"""How far off a solution is, from a coarser one."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.field.block import Problem, Solved

SAFETY = 1.1
"""Measured: with it 97 of 100 true errors lie below the estimate, which is eight times as large in
the median (tests/field/test_error_estimate.py)."""

FLOOR = 0.7
"""of the root mean square over the receivers: at one the difference may vanish by chance"""

TAIL = 0.35
"""of what is still to come on the edges when the sweeps end, heard at the receivers. Measured on
nine bodies: at low frequencies half to twice of it, a tenth above 3 kHz."""

NULL_DEPTH = 20.0
"""dB below a pattern's maximum beyond which a level error is not counted."""


def error_shares(problem: Problem, fine: np.ndarray, coarse: np.ndarray) -> np.ndarray:
    """Error over the pattern's maximum at equal distance, (source, receiver).

    The difference from the coarser solution, and beside it a share of its root mean square over
    all receivers. What is wrong comes from the edges: it spreads from the whole body, not from the
    piston, so that beside a cone it is not near its source.

    Args:
        problem: the sources and receivers.
        fine: complex (source, frequency, receiver), what is judged.
        coarse: likewise, what it is held against.
    """
    share = np.abs(coarse - fine) * _spread(problem) / _scale(fine, _distances(problem))
    share = share.max(axis=1)
    over_all = np.sqrt(np.mean(share**2, axis=-1, keepdims=True))
    answer: np.ndarray = SAFETY * np.hypot(share, FLOOR * over_all)
    return answer


def estimated_levels(problem: Problem, solved: Solved, shares: np.ndarray) -> np.ndarray:
    """Error of every level in dB, (source, frequency, receiver).

    From `error_shares`, and from what the sweeps over the edges leave undone.
    """
    size = np.maximum(np.abs(solved.pressure) * _spread(problem), np.finfo(float).tiny)
    scale = _scale(solved.pressure, _distances(problem))
    share = shares[:, None] + SAFETY * TAIL * solved.tail
    answer: np.ndarray = 20 * np.log10(1 + share * scale / size)
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


def _spread(problem: Problem) -> np.ndarray:
    """Distances over which an error of the body's has spread, m, (source, 1, receiver)."""
    half = 0.5 * float(np.linalg.norm(np.ptp(problem.body.points, axis=0)))
    return np.hypot(_distances(problem), half)


def _scale(pressure: np.ndarray, reach: np.ndarray) -> np.ndarray:
    answer: np.ndarray = (np.abs(pressure) * reach).max(axis=-1, keepdims=True)
    return np.maximum(answer, np.finfo(float).tiny)
