"""Small resonance loops that may lie in an impedance: a row for every place and width."""

from __future__ import annotations

from collections.abc import Iterator
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

LEAST_REST = 0.1
"""Share of a loop that must be left when all that is smooth is taken out of it"""

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


def loop(frequency: np.ndarray, place: float | np.ndarray, q: float) -> np.ndarray:
    """1/(1 + jQ(f/f₀ − f₀/f)), complex, shape (frequency,)."""
    turn = frequency / place
    answer: np.ndarray = 1 / (1 + 1j * q * (turn - 1 / turn))
    return answer


def smooth(frequency: np.ndarray, place: float | np.ndarray) -> np.ndarray:
    """Polynomials in ln f about a place, scaled to 1 at the ends, shape (…, frequency, ORDER)."""
    away = np.log(frequency / place)
    scaled = away / np.abs(away).max(axis=-1, keepdims=True)
    return np.stack([scaled**power for power in range(ORDER)], axis=-1)


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
    spacing = float(np.median(np.diff(np.log2(frequency))))
    parts: list[tuple[np.ndarray, float, np.ndarray, np.ndarray]] = []
    for width in (*WIDTHS, *BROADER):
        if width < NARROWEST * spacing:
            continue
        places = frequency[2 : -2 : max(1, round(width / spacing / 3))]
        ends = np.array([[part.start, part.stop] for part in _nears(frequency, places, width)])
        counts = ends[:, 1] - ends[:, 0]
        for count in np.unique(counts):  # those of as many points are done at once
            own = np.flatnonzero(counts == count)
            columns = ends[own, :1] + np.arange(count)
            rows, told = _rows(frequency[columns], places[own], quality(width), has_phase)
            parts.append((places[own][told], width, columns[told], rows[told]))
    sizes = np.concatenate([np.full(len(each[2]), each[2].shape[1]) for each in parts])
    starts = np.concatenate([[0], np.cumsum(sizes)])
    values = np.concatenate([each[3].ravel() for each in parts])
    at = np.concatenate([each[2].ravel() for each in parts])
    return Bank(
        frequency,
        has_phase,
        np.concatenate([each[0] for each in parts]),
        np.concatenate([np.full(len(each[0]), each[1]) for each in parts]),
        csr_array((values, at, starts), shape=(sizes.size, frequency.size)),
    )


def _nears(frequency: np.ndarray, places: np.ndarray, width: float) -> Iterator[slice]:
    for place in places:
        yield near(frequency, float(place), width)


def _rows(
    frequency: np.ndarray, place: np.ndarray, q: float, has_phase: bool
) -> tuple[np.ndarray, np.ndarray]:
    """Rows of the bank, (loop, point), and which of these can be told from what is smooth."""
    base = np.linalg.qr(smooth(frequency, place[:, None]))[0]
    own = loop(frequency, place[:, None], q)
    whole = np.linalg.norm(own, axis=1)
    if has_phase:
        rest = own - (base @ (base.transpose(0, 2, 1) @ own[..., None]))[..., 0]
        size = np.linalg.norm(rest, axis=1)
        return rest.conj() / size[:, None], size > LEAST_REST * whole
    # Without phase, a loop's two parts each have a shape of their own.
    both = np.stack([own.real, own.imag], axis=-1)
    rest = both - base @ (base.transpose(0, 2, 1) @ both)
    across, sizes, _ = np.linalg.svd(rest, full_matrices=False)
    return across[..., 0] + 1j * across[..., 1], sizes[:, 1] > LEAST_REST * whole
