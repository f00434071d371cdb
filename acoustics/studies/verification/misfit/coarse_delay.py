"""About how late something was heard, whichever way round it was connected."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

FARTHEST = 50e-3
"""s: longer delays are not looked for; interfaces and the way of the sound stay below"""

PER_PERIOD = 8
"""steps of the search per period of the highest frequency"""

AT_ONCE = 1024
"""delays that are tried together, so that the tables stay small"""

ENOUGH = 64
"""frequencies of a reading that are looked at"""


def coarse_delay(frequencies: Sequence[np.ndarray], ratios: Sequence[np.ndarray]) -> float:
    """The delay that best explains phases, s, to a small part of the shortest period.

    Phases count twice, so that half-turns vanish: a driver that is reversed in part of the band
    does not stand in the way. Where the level is far off they count less, so neither does one that
    is missing.

    Args:
        frequencies: Hz, one array per reading.
        ratios: measured over predicted, complex, of the same shapes.

    Returns:
        s, positive where the measured came later, between −`FARTHEST` and `FARTHEST`.
    """
    steps = [max(1, each.size // ENOUGH) for each in frequencies]
    frequency = np.concatenate([f[::n] for f, n in zip(frequencies, steps, strict=True)])
    turned = np.concatenate([_double(r[::n]) for r, n in zip(ratios, steps, strict=True)])
    step = 1 / (2 * PER_PERIOD * frequency.max())
    reach = int(np.ceil(FARTHEST / step))
    # Sine and cosine of many delays follow from those of a few by one multiplication.
    block = np.exp(4j * np.pi * np.outer(frequency, step * np.arange(AT_ONCE)))
    best, answer = -np.inf, 0.0
    for first in range(-reach, reach + 1, AT_ONCE):
        found = ((turned * np.exp(4j * np.pi * frequency * step * first)) @ block).real
        at = int(np.argmax(found))
        if found[at] > best:
            best, answer = float(found[at]), step * (first + at)
    return answer


def _double(ratio: np.ndarray) -> np.ndarray:
    """Twice the phase, every reading counting alike, and less where the level is off."""
    size = np.maximum(np.abs(ratio), np.finfo(float).tiny)
    size = size / np.median(size)
    answer: np.ndarray = (ratio / np.abs(ratio)) ** 2 * np.minimum(size, 1 / size) ** 2 / ratio.size
    return answer
