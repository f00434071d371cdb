"""A response known at some frequencies, on the even grid that a transform to time needs."""

from __future__ import annotations

import numpy as np
from scipy.interpolate import CubicSpline

FALL = 4
"""Order of the fall below the lowest frequency known: everything falls as fast as a vented box."""


def carried(
    frequency: np.ndarray, known: np.ndarray, response: np.ndarray, delay: float
) -> np.ndarray:
    """A response at other frequencies, its delay taken out between.

    Below the lowest frequency known the size falls with the fourth power and the phase, delay
    apart, stays; above the highest both stay.

    Args:
        frequency: Hz, where it is asked for, any, shape (place,).
        known: Hz, ascending, shape (frequency,).
        response: complex, shape (frequency,).
        delay: s, that the response holds; what is left must turn little from one frequency known
            to the next.

    Returns:
        Complex, shape (place,); exactly the response at frequencies known.
    """
    still = response * np.exp(2j * np.pi * known * delay)
    inside = np.clip(frequency, known[0], known[-1])
    answer: np.ndarray = CubicSpline(known, still)(inside) * np.exp(-2j * np.pi * frequency * delay)
    return answer * np.minimum(frequency / known[0], 1.0) ** FALL


def closing(frequency: np.ndarray, end: float, share: float) -> np.ndarray:
    """1, and from a share of the frequency `end` on by half a cosine to 0 there."""
    away = np.clip((1 - frequency / end) / (1 - share), 0, 1)
    answer: np.ndarray = 0.5 - 0.5 * np.cos(np.pi * away)
    return answer
