"""Low-, high- and band-passes of any alignment."""

from __future__ import annotations

import numpy as np

from acoustics.case.design.model import PassFilter
from acoustics.crossover.alignments import ALIGNMENTS


def low_pass(poles: np.ndarray, s: np.ndarray) -> np.ndarray:
    """Evaluate an all-pole low-pass of unit gain at s = 0.

    Args:
        poles: shape (order,), rad/s for a corner of 1 rad/s.
        s: complex frequency over the corner, shape (frequency,).

    Returns:
        Complex, shape (frequency,).
    """
    return np.prod(poles / (poles - s[..., None]), axis=-1)


def high_pass(poles: np.ndarray, s: np.ndarray) -> np.ndarray:
    """Mirror a low-pass into a high-pass about its corner: s → 1/s."""
    return low_pass(poles, 1.0 / s)


def pass_response(section: PassFilter, frequency: np.ndarray) -> np.ndarray:
    """Transfer function of a low-, high- or band-pass.

    A band-pass is a high-pass at its low corner in cascade with a low-pass at its high corner,
    each of the section's order.

    Args:
        section: alignment, order and corners (Hz).
        frequency: Hz, above 0, shape (frequency,).

    Returns:
        V/V, complex, shape (frequency,).

    Raises:
        RoundoverError: an order the alignment does not have.
    """
    poles = ALIGNMENTS[section.alignment](section.order)
    response = np.ones(np.shape(frequency), dtype=complex)
    if section.low_corner is not None:
        response *= high_pass(poles, 1j * frequency / section.low_corner)
    if section.high_corner is not None:
        response *= low_pass(poles, 1j * frequency / section.high_corner)
    return response
