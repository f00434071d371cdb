"""Parametric sections: second-order peaks and shelves.

R. Bristow-Johnson, "Cookbook formulae for audio equalizer biquad filter coefficients" (from
memory): A = 10^(gain/40), s = jf/f₀. A shelf has half its gain (in dB) at f₀.

Each shape is a quotient of polynomials in s, written for whatever stands for 1, s and s²: values at
frequencies, or the polynomials in z⁻¹ that the bilinear transform puts in their place.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from acoustics.case.design.model import ParametricSection

Powers = tuple[np.ndarray | float, np.ndarray, np.ndarray]
"""What stands for 1, s and s²."""

Quotient = tuple[np.ndarray, np.ndarray]
"""Numerator and denominator."""


def peak(powers: Powers, A: float, q: float) -> Quotient:
    """A² at the centre, 1 far from it."""
    one, s, s2 = powers
    return s2 + s * A / q + one, s2 + s / (A * q) + one


def low_shelf(powers: Powers, A: float, q: float) -> Quotient:
    """A² far below the corner, 1 far above it."""
    one, s, s2 = powers
    slope = np.sqrt(A) / q
    return A * (s2 + slope * s + A * one), A * s2 + slope * s + one


def high_shelf(powers: Powers, A: float, q: float) -> Quotient:
    """1 far below the corner, A² far above it."""
    one, s, s2 = powers
    slope = np.sqrt(A) / q
    return A * (A * s2 + slope * s + one), s2 + slope * s + A * one


SHAPES: dict[str, Callable[[Powers, float, float], Quotient]] = {
    "peak": peak,
    "low-shelf": low_shelf,
    "high-shelf": high_shelf,
}


def parametric_quotient(section: ParametricSection, powers: Powers) -> Quotient:
    """Numerator and denominator of a peak or shelf, s counted in its own frequency."""
    return SHAPES[section.kind](powers, 10 ** (section.gain / 40), section.q)


def parametric_response(section: ParametricSection, frequency: np.ndarray) -> np.ndarray:
    """Transfer function of a peak or shelf.

    Args:
        section: kind, frequency (Hz), gain (dB) and quality factor.
        frequency: Hz, shape (frequency,).

    Returns:
        V/V, complex, shape (frequency,).
    """
    s = 1j * frequency / section.frequency
    above, below = parametric_quotient(section, (1.0, s, s**2))
    return above / below
