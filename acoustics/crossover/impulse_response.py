"""The impulse response of a digital processor that comes closest to a filter that is needed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from scipy.linalg import solve_toeplitz

from acoustics.crossover.digital import fir_response

COUNTS = 20.0
"""dB below a filter's maximum: what it does further down is not counted as its error"""

FAINT = 40.0
"""dB below a filter's maximum: further down its error is no longer asked to fall with it"""

BEYOND = 0.01
"""Weight of frequencies outside the predicted ones: only kept from running away"""

GOOD_ENOUGH = 0.1
"""dB: an error of less needs no more latency, nor does one that would fall by less"""

SHORTEST = 8
"""Samples: the first latency that is tried; each further one is twice as long"""


class Needed(NamedTuple):
    """A filter that is needed (V/V, complex, shape (frequency,)), and whole samples of delay in it.

    The delay is left to the processor; the taps realise what is left of the filter without it.
    """

    filter: np.ndarray
    samples: int = 0


class Realised(NamedTuple):
    """Impulse responses of one length, and the latency that they all have, in samples."""

    taps: np.ndarray
    latency: int


def realise(needed: Sequence[Needed], frequency: np.ndarray, *, rate: float, taps: int) -> Realised:
    """Find causal impulse responses for some filters that are to stay in step.

    Weighted least squares on an even grid of frequencies, whose normal equations are a Toeplitz
    matrix (Burrus, Barreto & Selesnick, IEEE Trans. Signal Process. 42, 1994, 2926; from memory):
    weights go as 1/|filter|², so that decibels count, and as 1/f down to the resolution rate/taps,
    so that octaves count. Below and above the predicted frequencies the magnitude goes on as at
    their ends, and the phase to the nearest multiple of 180° at 0 Hz, with little weight.

    What a filter does before its time takes latency, the same for all: the shortest of those tried
    that is good enough, or about as good as the best.

    Args:
        needed: the filters.
        frequency: Hz, ascending, shape (frequency,), below rate/2.
        rate: sampling rate, Hz.
        taps: how many.

    Returns:
        Taps, shape (filter, tap), and the latency.
    """
    grid = np.arange(_points(taps) + 1) * (rate / 2 / _points(taps))
    solved = []
    for each in needed:
        wanted = each.filter * np.exp(2j * np.pi * frequency * each.samples / rate)
        solved.append((wanted, *_normal_equations(wanted, frequency, grid, taps, rate)))
    found = list[tuple[float, Realised]]()
    for latency in _latencies(taps):
        late = np.exp(-2j * np.pi * frequency * latency / rate)
        rows, worst = [], 0.0
        for wanted, matrix, right in solved:
            rows.append(solve_toeplitz(matrix, np.roll(right, latency)[:taps]))
            response = fir_response(rows[-1], frequency, rate)
            worst = max(worst, deviation(response, wanted * late))
        found.append((worst, Realised(np.array(rows), latency)))
        if worst < GOOD_ENOUGH:
            break
    most = min(worst for worst, _ in found) + GOOD_ENOUGH
    return next(each for worst, each in found if worst < most)


def counted(wanted: np.ndarray) -> np.ndarray:
    """Where a filter is within `COUNTS` of its maximum, boolean, shape (frequency,)."""
    size = np.abs(wanted)
    answer: np.ndarray = size >= size.max() * 10 ** (-COUNTS / 20)
    return answer


def deviation(realised: np.ndarray, wanted: np.ndarray) -> float:
    """Largest difference of two filters where it counts, phase included, dB.

    The difference as a vector, along the wanted filter: levels differ by at most that.
    """
    where = counted(wanted)
    apart = np.abs(realised[where] / wanted[where] - 1)
    return float(20 * np.log10(1 + apart.max()))


def _latencies(taps: int) -> list[int]:
    """Samples, ascending, to half of the taps."""
    half = taps // 2
    doubled = [SHORTEST * 2**n for n in range(max(int(np.log2(half / SHORTEST)) + 1, 0))]
    return list(dict.fromkeys([*doubled, half])) if half >= SHORTEST else [half]


def _points(taps: int) -> int:
    """Frequencies of the grid, a power of two: several for every one that the taps resolve."""
    return 2 ** max(14, int(np.ceil(np.log2(taps))) + 2)


def _normal_equations(
    wanted: np.ndarray, frequency: np.ndarray, grid: np.ndarray, taps: int, rate: float
) -> tuple[np.ndarray, np.ndarray]:
    """First column of the matrix, shape (tap,), and the right side without latency, circular."""
    size = np.abs(wanted)
    faint = size.max() * 10 ** (-FAINT / 20)
    level = np.log(np.maximum(size, 1e-3 * faint))
    phase = np.unwrap(np.angle(wanted))
    place = np.log(np.clip(grid, frequency[0], frequency[-1]))
    where = np.log(frequency)
    turn = np.interp(place, where, phase)
    start = np.pi * np.round(phase[0] / np.pi)
    below = grid < frequency[0]
    turn[below] = start + (phase[0] - start) * grid[below] / frequency[0]
    target = np.exp(np.interp(place, where, level) + 1j * turn)
    weight = 1 / np.maximum(np.abs(target), faint) ** 2 / np.maximum(grid, rate / taps)
    weight[below | (grid > frequency[-1])] *= BEYOND
    matrix = np.fft.irfft(weight)[:taps]
    return matrix, np.fft.irfft(weight * target)
