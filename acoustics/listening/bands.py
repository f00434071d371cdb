"""Frequency bands, and whether a prediction covers them."""

from __future__ import annotations

import numpy as np

SLACK = 1e-9
"""Relative: a frequency this close to a band's end lies in the band."""

FEWEST = 3
"""Frequencies a band must hold: fewer make no curve."""

WIDEST = 2 ** (1 / 12)
"""Ratio: what may be missing at a band's end."""

PER_WIDTH = 2
"""Frequencies that each width of a smoothing must hold."""

LEAST_PER_OCTAVE = 6
"""Frequencies per octave between which a response is followed.

With fewer, what happens between them would be a guess over a good part of an octave.
"""


def in_band(frequency: np.ndarray, band: tuple[float, float]) -> np.ndarray:
    """Which frequencies lie in a band, its ends included, shape (frequency,)."""
    return (frequency >= band[0] * (1 - SLACK)) & (frequency <= band[1] * (1 + SLACK))


def reaches(frequency: np.ndarray, to: float) -> bool:
    """Whether frequencies reach up to one (Hz) but for a step of at most 1/12 octave."""
    step = min(frequency[-1] / frequency[-2:][0], WIDEST)
    return bool(frequency[-1] * step >= to * (1 - SLACK))


def why_not_covered(
    frequency: np.ndarray, band: tuple[float, float], smoothing: float | None = None
) -> str:
    """Why a band cannot be judged from these frequencies; empty if it can.

    The band must be covered but for one step (at most 1/12 octave) at either end, hold at least
    three frequencies, and hold two in every width of the smoothing: fewer, and peaks and dips
    fall between them.

    Args:
        frequency: Hz, ascending, shape (frequency,).
        band: lowest and highest frequency, Hz.
        smoothing: denominator of the fraction of an octave over which the measure averages; None
            where it does not.
    """
    inside = in_band(frequency, band)
    if np.count_nonzero(inside) < FEWEST:
        return f"fewer than {FEWEST} frequencies were predicted in {band[0]:g} to {band[1]:g} Hz"
    first = min(frequency[1] / frequency[0], WIDEST)
    if frequency[0] > band[0] * first * (1 + SLACK) or not reaches(frequency, band[1]):
        return (
            f"the band {band[0]:g} to {band[1]:g} Hz reaches beyond the frequencies predicted, "
            f"{frequency[0]:.0f} to {frequency[-1]:.0f} Hz"
        )
    if smoothing is None:
        return ""
    purpose = f"smoothing by 1/{smoothing:g} octave"
    return _too_few(frequency[inside], PER_WIDTH * smoothing, purpose)


def why_not_followed(frequency: np.ndarray) -> str:
    """Why dips cannot be followed between these frequencies (Hz); empty if they can."""
    return _too_few(frequency, LEAST_PER_OCTAVE, "following dips between them")


def _too_few(frequency: np.ndarray, needed: float, purpose: str) -> str:
    steps = np.diff(np.log2(frequency))
    per_octave = 1 / float(steps.max()) if steps.size else 0.0
    if per_octave >= needed * (1 - SLACK):
        return ""
    return (
        f"{per_octave:.0f} frequencies per octave were predicted, too few for {purpose}; take "
        f"per_octave = {int(np.ceil(needed))} or more"
    )
