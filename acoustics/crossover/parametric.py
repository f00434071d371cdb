"""Parametric sections: second-order peaks and shelves, in their analogue form.

R. Bristow-Johnson, "Cookbook formulae for audio equalizer biquad filter coefficients" (from
memory): A = 10^(gain/40), s = jf/f₀. A shelf has half its gain (in dB) at f₀.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from acoustics.case.model import ParametricSection


def peak(s: np.ndarray, A: float, q: float) -> np.ndarray:
    """A² at the centre, 1 far from it."""
    return (s**2 + s * A / q + 1) / (s**2 + s / (A * q) + 1)


def low_shelf(s: np.ndarray, A: float, q: float) -> np.ndarray:
    """A² far below the corner, 1 far above it."""
    slope = np.sqrt(A) / q
    return A * (s**2 + slope * s + A) / (A * s**2 + slope * s + 1)


def high_shelf(s: np.ndarray, A: float, q: float) -> np.ndarray:
    """1 far below the corner, A² far above it."""
    slope = np.sqrt(A) / q
    return A * (A * s**2 + slope * s + 1) / (s**2 + slope * s + A)


SHAPES: dict[str, Callable[[np.ndarray, float, float], np.ndarray]] = {
    "peak": peak,
    "low-shelf": low_shelf,
    "high-shelf": high_shelf,
}


def parametric_response(section: ParametricSection, frequency: np.ndarray) -> np.ndarray:
    """Transfer function of a peak or shelf.

    Args:
        section: kind, frequency (Hz), gain (dB) and quality factor.
        frequency: Hz, shape (frequency,).

    Returns:
        V/V, complex, shape (frequency,).
    """
    s = 1j * frequency / section.frequency
    return SHAPES[section.kind](s, 10 ** (section.gain / 40), section.q)
