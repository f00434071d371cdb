"""Frequency bands, and whether a prediction covers them."""

from __future__ import annotations

import numpy as np

SLACK = 1e-9
"""Relative: a frequency this close to a band's end lies in the band."""

FEWEST = 3
"""Frequencies a band must hold: fewer make no curve."""


def in_band(frequency: np.ndarray, band: tuple[float, float]) -> np.ndarray:
    """Which frequencies lie in a band, its ends included, shape (frequency,)."""
    return (frequency >= band[0] * (1 - SLACK)) & (frequency <= band[1] * (1 + SLACK))


def why_not_covered(frequency: np.ndarray, band: tuple[float, float]) -> str:
    """Why a band cannot be judged from these frequencies; empty if it can.

    The band must be covered but for one step at either end, and hold at least three frequencies.

    Args:
        frequency: Hz, ascending, shape (frequency,).
        band: lowest and highest frequency, Hz.
    """
    if np.count_nonzero(in_band(frequency, band)) < FEWEST:
        return f"fewer than {FEWEST} frequencies were predicted in {band[0]:g} to {band[1]:g} Hz"
    first, last = frequency[1] / frequency[0], frequency[-1] / frequency[-2]
    if frequency[0] > band[0] * first * (1 + SLACK) or frequency[-1] * last < band[1] * (1 - SLACK):
        return (
            f"the band {band[0]:g} to {band[1]:g} Hz reaches beyond the frequencies predicted, "
            f"{frequency[0]:.0f} to {frequency[-1]:.0f} Hz"
        )
    return ""
