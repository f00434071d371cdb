"""Standing waves in a lined box: bare numbers.

Where every wall does the same all over, the pressure is a product of functions of x, y and z, and
each has an equation of its own (Morse & Ingard, Theoretical Acoustics, 1968, 9.4; Kuttruff, Room
Acoustics, ch. 3; from memory). That is exact with layers across one axis, and but for the corners
with more.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

STEPS = 8
"""From air to material in so many steps, so that no wave is taken for another."""

NEWTON = 6
"""steps a round"""

ROUNDS = 60
"""at most, in which wavenumbers and slopes settle on each other"""

SETTLED = 1e-9

LOST = 1e-4
"""Where the last round still changes a wavenumber by more than this of it, none was found."""


def lined_box(
    sizes: np.ndarray,
    depths: np.ndarray,
    orders: np.ndarray,
    slopes: Callable[[np.ndarray, np.ndarray, float], np.ndarray],
) -> np.ndarray:
    """Complex wavenumbers of a box with layers on its walls.

    Along one axis, the air's length L, the wavenumber q follows from
    (q − s₀s₁/q) sin qL = (s₀ + s₁) cos qL, s the slope over the pressure at each end, and k² is the
    sum of the three q². Each wave is followed from that of the bare box.

    Args:
        sizes: of the bare box, shape (3,), m.
        depths: of the layers on both walls of each axis, shape (3, 2), m.
        orders: half waves along the axes in the bare box, shape (mode, 3).
        slopes: from k (mode,), the squared wavenumbers along the walls of each axis (mode, 3) and
            the share of the material in the layers, from 0 for air to 1, to the slopes into the
            layers over the pressure, shape (mode, 3, 2), 1/m.

    Returns:
        k, shape (mode,), 1/m; NaN where none was found.
    """
    left = sizes - depths.sum(axis=1)
    along = (np.pi * orders / sizes).astype(complex)
    last = wave = np.sqrt((along**2).sum(axis=1))
    for share in np.linspace(0.0, 1.0, STEPS + 1)[1:]:
        for _ in range(ROUNDS):
            ends = slopes(wave, wave[:, None] ** 2 - along**2, share)
            total, product = ends.sum(axis=2), ends.prod(axis=2)
            # Of no half wave along an axis, to begin with: sin qL and cos qL to first order.
            nearly = np.sqrt(total / left)
            found = np.where((orders == 0) & (along == 0), nearly, along)
            for _ in range(NEWTON):
                found = found - _step(found, left, total, product)
            along = (along + found) / 2
            last, wave = wave, np.sqrt((along**2).sum(axis=1))
            if np.nanmax(np.abs(wave / last - 1)) < SETTLED:
                break
    return np.where(np.abs(wave / last - 1) < LOST, wave, np.nan)


def _step(
    along: np.ndarray, sizes: np.ndarray, total: np.ndarray, product: np.ndarray
) -> np.ndarray:
    """Newton's, of (q − P/q) sin qL − T cos qL; 0 for what rests at 0 between bare walls.

    T and P are the sum and the product of the slopes at both ends.
    """
    rest = (np.abs(along) < 1e-12) & (np.abs(total) < 1e-12)
    q = np.where(rest, 1.0, along)
    sine, cosine = np.sin(q * sizes), np.cos(q * sizes)
    value = (q - product / q) * sine - total * cosine
    slope = (1 + product / q**2) * sine + sizes * ((q - product / q) * cosine + total * sine)
    answer: np.ndarray = np.where(rest, 0.0, value / slope)
    return answer
