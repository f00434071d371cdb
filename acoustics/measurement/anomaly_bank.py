"""Small resonance loops that may lie in an impedance: a row for every place and width."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_array

WIDTHS = (1 / 48, 1 / 32, 1 / 24, 1 / 16, 1 / 12, 1 / 8, 1 / 6, 1 / 4)
"""octaves of narrow resonances, at which they are down by 3 dB"""

BROADER = (1 / 3, 1 / 2)
"""octaves: what is best described so is no narrow resonance, but what the smooth model lacks"""

NARROWEST = 0.7
"""of the points' spacing: narrower loops fall between them"""

REACH = 2.5
"""Widths to each side of a place within which a loop is told from what is smooth"""

LEAST_POINTS = 10
"""within that reach"""

ORDER = 3
"""of the polynomial in ln f that is smooth: of so many terms"""


@dataclass(frozen=True, eq=False)
class Bank:
    """Loops by place and width.

    Attributes:
        frequency: Hz, of the data, shape (frequency,).
        has_phase: whether the data have.
        place: Hz, shape (loop,).
        width: octaves, shape (loop,).
        rows: what each takes of the data: a normalised loop less all that is smooth about it,
            complex, shape (loop, frequency). Squares of the products over the variance of a real
            part are those of two standard normal numbers where there is only noise.
    """

    frequency: np.ndarray
    has_phase: bool
    place: np.ndarray
    width: np.ndarray
    rows: csr_array


def quality(width: float) -> float:
    """Q of a resonance of a width in octaves."""
    return float(1 / (2 * np.sinh(np.log(2) * width / 2)))


def loop(frequency: np.ndarray, place: float, q: float) -> np.ndarray:
    """1/(1 + jQ(f/f₀ − f₀/f)), complex, shape (frequency,)."""
    turn = frequency / place
    answer: np.ndarray = 1 / (1 + 1j * q * (turn - 1 / turn))
    return answer


def smooth(frequency: np.ndarray, place: float) -> np.ndarray:
    """Polynomials in ln f about a place, scaled to 1 at the ends, shape (frequency, ORDER)."""
    away = np.log(frequency / place)
    return np.vander(away / max(float(np.abs(away).max()), 1e-12), ORDER, increasing=True)


def near(frequency: np.ndarray, place: float, width: float) -> slice:
    """The points by which a loop at a place is told."""
    away = np.log2(frequency / place)
    low, high = np.searchsorted(away, [-REACH * width, REACH * width])
    at = int(np.searchsorted(away, 0.0))
    half = LEAST_POINTS // 2
    low, high = min(int(low), at - half), max(int(high), at + half)
    return slice(max(low, 0), min(high, frequency.size))


def bank_of(frequency: np.ndarray, has_phase: bool = True) -> Bank:
    """All loops that are looked for at some frequencies.

    Args:
        frequency: Hz, ascending, shape (frequency,), some LEAST_POINTS at least.
        has_phase: whether the data are complex.
    """
    places, widths, starts, columns, values = [], [], [0], [], []
    spacing = np.median(np.diff(np.log2(frequency)))
    for width in (*WIDTHS, *BROADER):
        if width < NARROWEST * spacing:
            continue
        step = max(1, round(width / spacing / 3))
        for place in frequency[2:-2:step]:
            part = near(frequency, float(place), width)
            row = _row(frequency[part], float(place), quality(width), has_phase)
            if row is None:
                continue
            places.append(float(place))
            widths.append(width)
            columns.append(np.arange(part.start, part.stop))
            values.append(row)
            starts.append(starts[-1] + row.size)
    shape = (len(places), frequency.size)
    rows = csr_array((np.concatenate(values), np.concatenate(columns), starts), shape=shape)
    return Bank(frequency, has_phase, np.array(places), np.array(widths), rows)


def _row(frequency: np.ndarray, place: float, q: float, has_phase: bool) -> np.ndarray | None:
    """A row of the bank; None for a loop that cannot be told from what is smooth."""
    base = np.linalg.qr(smooth(frequency, place))[0]
    own = loop(frequency, place, q)
    if has_phase:
        rest = own - base @ (base.T @ own)
        size = np.linalg.norm(rest)
        return None if size < 0.1 * np.linalg.norm(own) else rest.conj() / size
    # Without phase, a loop's two parts each have a shape of their own.
    both = np.stack([own.real, own.imag], axis=1)
    rest = both - base @ (base.T @ both)
    across, sizes, _ = np.linalg.svd(rest, full_matrices=False)
    if sizes[1] < 0.1 * np.linalg.norm(own):
        return None
    answer: np.ndarray = across[:, 0] + 1j * across[:, 1]
    return answer
