"""All-passes: sections that turn the phase and leave the magnitude."""

from __future__ import annotations

import numpy as np

from acoustics.case.design.model import AllPass
from acoustics.crossover.parametric import Powers, Quotient


def all_pass_quotient(section: AllPass, powers: Powers) -> Quotient:
    """Numerator and denominator, s counted in the section's frequency: D(−s)/D(s).

    Positive at f = 0, so that the phase falls from 0 by 180° for each order.
    """
    one, s, s2 = powers
    if section.q is None:
        return one - s, one + s
    return s2 - s / section.q + one, s2 + s / section.q + one


def all_pass_response(section: AllPass, frequency: np.ndarray) -> np.ndarray:
    """Transfer function of an all-pass, V/V, complex, shape (frequency,)."""
    s = 1j * frequency / section.frequency
    above, below = all_pass_quotient(section, (1.0, s, s**2))
    return above / below
