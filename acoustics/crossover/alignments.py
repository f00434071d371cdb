"""Alignments by name: the poles that give a crossover slope its shape.

Each function returns the poles of a low-pass prototype whose corner is 1 rad/s, shape (order,);
real ones have an imaginary part of exactly 0.
High-passes come from it by s → 1/s. All are pure transfer functions without hidden inversion:
the branches of a Linkwitz–Riley crossover of order 2 or 6 are in opposite phase at the corner, so
one of the two drivers must be inverted for them to add; with order 4 or 8 they add as they are.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from acoustics.conventions import RoundoverError

BESSEL_ORDERS = range(1, 9)


def butterworth_poles(order: int) -> np.ndarray:
    """Maximally flat; −3.01 dB at the corner.

    Poles evenly spaced on the left half of the unit circle (Butterworth 1930).

    Raises:
        RoundoverError: an order below 1.
    """
    if order < 1:
        raise RoundoverError(f"a Butterworth filter has order 1 or more, not {order}")
    k = np.arange(order)
    poles = np.exp(1j * math.pi * (2 * k + order + 1) / (2 * order))
    # The middle pole of an odd order is −1; cosine and sine leave a rounding error there.
    return np.where(2 * k + 1 == order, -1.0 + 0j, poles)


def linkwitz_riley_poles(order: int) -> np.ndarray:
    """Squared Butterworth of half the order; −6.02 dB at the corner.

    Linkwitz, J. Audio Eng. Soc. 24, 1976, 2.

    Raises:
        RoundoverError: an order that is not even.
    """
    if order < 2 or order % 2:
        raise RoundoverError(
            f"a Linkwitz–Riley filter has an even order (2, 4, 6, 8), not {order}; "
            "use a Butterworth for odd orders"
        )
    return np.repeat(butterworth_poles(order // 2), 2)


def bessel_poles(order: int) -> np.ndarray:
    """Maximally flat group delay (Thomson 1949), scaled to −3.01 dB at the corner.

    Roots of the reverse Bessel polynomial θₙ(s) = Σ (2n−k)! / ((n−k)! k! 2^(n−k)) s^k.

    Raises:
        RoundoverError: an order outside 1 to 8.
    """
    if order not in BESSEL_ORDERS:
        raise RoundoverError(f"a Bessel filter has an order of 1 to 8, not {order}")
    powers = range(order, -1, -1)
    poles = np.roots(
        [
            math.factorial(2 * order - k)
            // (math.factorial(order - k) * math.factorial(k) * 2 ** (order - k))
            for k in powers
        ]
    ).astype(complex)
    return poles / _half_power_frequency(poles)


ALIGNMENTS: dict[str, Callable[[int], np.ndarray]] = {
    "butterworth": butterworth_poles,
    "linkwitz-riley": linkwitz_riley_poles,
    "bessel": bessel_poles,
}


def _half_power_frequency(poles: np.ndarray) -> float:
    """Where a monotonic low-pass of unit gain at 0 has lost half its power (rad/s)."""
    low, high = 0.0, 2.0 * float(np.abs(poles).max())
    for _ in range(60):  # halves the bracket down to the last bit
        middle = (low + high) / 2
        if np.prod(np.abs(poles / (1j * middle - poles))) ** 2 > 0.5:
            low = middle
        else:
            high = middle
    return (low + high) / 2
