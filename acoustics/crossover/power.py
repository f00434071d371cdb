"""What a programme asks of the parts of a crossover and of the drivers behind it."""

from __future__ import annotations

import numpy as np

PROGRAMME = (20.0, 20_000.0)
"""Hz: pink noise between these, equal power in every octave (common practice, no source). Music has
less at both ends."""

CREST_FACTOR = 2.0
"""Peak over rms of the programme (IEC 60268-5, noise for power tests; from memory)."""


def programme_shares(frequency: np.ndarray) -> np.ndarray:
    """The part of the programme's power that each frequency stands for.

    Every frequency stands for the octaves half way to its neighbours, and as far beyond the ends.

    Args:
        frequency: Hz, ascending, shape (frequency,).

    Returns:
        Shape (frequency,); they add up to 1, or less where the frequencies do not span it all.
    """
    octaves = np.log2(frequency)
    if frequency.size == 1:
        return np.array([1 / np.log2(PROGRAMME[1] / PROGRAMME[0])])
    middle = (octaves[1:] + octaves[:-1]) / 2
    first, last = 2 * octaves[0] - middle[0], 2 * octaves[-1] - middle[-1]
    edges = np.clip([first, *middle, last], *np.log2(PROGRAMME))
    answer: np.ndarray = np.diff(edges) / np.log2(PROGRAMME[1] / PROGRAMME[0])
    return answer


def lift(before: np.ndarray, frequency: np.ndarray) -> float:
    """Rms of the programme behind a filter over that before it.

    Args:
        before: the filter, V/V, complex, shape (frequency,).
        frequency: Hz, shape (frequency,).
    """
    share = programme_shares(frequency).sum()
    return float(rms_of(before, frequency, 1.0) / np.sqrt(share))


def mean_power(
    voltage: np.ndarray, current: np.ndarray, frequency: np.ndarray, rms: float
) -> np.ndarray:
    """Average power that a programme leaves in something.

    Args:
        voltage: over it per volt of the source, complex, shape (…, frequency).
        current: through it, A/V, likewise.
        frequency: Hz, shape (frequency,).
        rms: of the programme, V.

    Returns:
        W, shape (…).
    """
    answer: np.ndarray = rms**2 * (programme_shares(frequency) * (voltage * current.conj()).real)
    return answer.sum(axis=-1)


def rms_of(transfer: np.ndarray, frequency: np.ndarray, rms: float) -> np.ndarray:
    """Rms of a voltage (V) or current (A) per volt of the source under a programme, shape (…)."""
    mean_square = (programme_shares(frequency) * np.abs(transfer) ** 2).sum(axis=-1)
    answer: np.ndarray = rms * np.sqrt(mean_square)
    return answer
