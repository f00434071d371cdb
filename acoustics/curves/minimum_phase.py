"""The minimum phase of a magnitude, and the excess phase of a measured response."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.linalg import matmul_toeplitz
from scipy.special import spence

from acoustics.conventions import RoundoverError

FEWEST = 8
"""Frequencies a magnitude must have for its phase to be told."""

EVEN = 1e-6
"""Relative: steps that differ by less are alike."""


@dataclass(frozen=True)
class Tails:
    """How a magnitude goes on beyond its frequencies: as powers of the frequency.

    `below` 2 is a rise of 12 dB an octave toward the band, `above` −2 a fall of 12 dB an octave
    beyond it.
    """

    below: float
    above: float


def fitted_tails(
    frequency: np.ndarray,
    magnitude: np.ndarray,
    *,
    octaves: float = 1.0,
    sampling_rate: float | None = None,
) -> Tails:
    """Tails that continue the slopes of the outermost `octaves` at either end.

    Args:
        frequency: Hz, ascending, shape (frequency,).
        magnitude: positive, shape (frequency,).
        octaves: over how much of either end the slope is fitted.
        sampling_rate: Hz, as for `minimum_phase`.
    """
    place = _log_place(frequency, sampling_rate)
    octave = np.log2(frequency)
    log = np.log(magnitude)

    def slope(near: np.ndarray) -> float:
        return float(np.polyfit(place[near] - place[near].mean(), log[near], 1)[0])

    low, high = octave <= octave[0] + octaves, octave >= octave[-1] - octaves
    low[:2] = high[-2:] = True
    return Tails(slope(low), slope(high))


def minimum_phase(
    frequency: np.ndarray,
    magnitude: np.ndarray,
    *,
    at: np.ndarray | None = None,
    tails: Tails | None = None,
    sampling_rate: float | None = None,
) -> np.ndarray:
    """Phase of the minimum-phase system with this magnitude.

    φ(ω₀) = (1/π)·∫ (dA/du)·ln coth(|u|/2) du, A = ln|H|, u = ln(ω/ω₀) (Bode, Network Analysis and
    Feedback Amplifier Design, 1945, ch. 14, from memory). The logarithm of the magnitude is taken
    to be straight in log frequency between its points and beyond them; over a straight piece the
    integral is Legendre's chi function of order 2, so nothing else is approximated.

    Args:
        frequency: Hz, positive, ascending, shape (frequency,); 24 an octave or more.
        magnitude: positive, shape (frequency,).
        at: where the phase is wanted, Hz, shape (place,); at `frequency` if not given.
        tails: slopes beyond; fitted to the outermost octaves if not given.
        sampling_rate: Hz; of a system that exists in samples only (a digital filter), whose
            magnitude mirrors at half of it. Tails are then powers of tan(πf/sampling_rate), which
            is what the bilinear transform makes of the frequency (Oppenheim & Schafer,
            Discrete-Time Signal Processing, from memory). None for anything in the air.

    Returns:
        Radians, not wrapped, shape (place,); 0 at 0 Hz for a system that passes it.
    """
    _check(frequency, magnitude)
    if tails is None:
        tails = fitted_tails(frequency, magnitude, sampling_rate=sampling_rate)
    knots = _log_place(frequency, sampling_rate)
    slopes = np.diff(np.log(magnitude)) / np.diff(knots)
    bends = -np.diff(np.concatenate([[tails.below], slopes, [tails.above]]))
    answer: np.ndarray
    if at is None and np.ptp(np.diff(knots)) < EVEN * (knots[1] - knots[0]):
        # Evenly spaced in log frequency, all places share the same few differences.
        away = (knots[-1] - knots[0]) / (knots.size - 1) * np.arange(knots.size)
        ahead = _bode_integral(away)
        answer = matmul_toeplitz((-ahead, ahead), bends)
    else:
        places = knots if at is None else _log_place(at, sampling_rate)
        answer = _bode_integral(knots - places[:, None]) @ bends
    return answer / math.pi + math.pi / 4 * (tails.below + tails.above)


def excess_phase(
    frequency: np.ndarray,
    response: np.ndarray,
    *,
    tails: Tails | None = None,
    sampling_rate: float | None = None,
) -> np.ndarray:
    """Phase beyond the minimum phase: that of delay, all-pass and polarity.

    Args:
        frequency: Hz, positive, ascending, shape (frequency,).
        response: complex, shape (frequency,).
        tails: as for `minimum_phase`.
        sampling_rate: likewise.

    Returns:
        Radians within ±π, shape (frequency,); unwrap it where frequencies lie close enough.
    """
    least = minimum_phase(frequency, np.abs(response), tails=tails, sampling_rate=sampling_rate)
    answer: np.ndarray = np.angle(response * np.exp(-1j * least))
    return answer


def _bode_integral(u: np.ndarray) -> np.ndarray:
    """∫ ln coth(|v|/2) dv from 0 to u: odd, π²/4 − 2χ₂(exp(−u)) for positive u."""
    small = np.exp(-np.abs(u))
    # χ₂(x) = (Li₂(x) − Li₂(−x))/2, and scipy's spence(z) is Li₂(1 − z).
    chi = (spence(1 - small) - spence(1 + small)) / 2
    answer: np.ndarray = np.sign(u) * (math.pi**2 / 4 - 2 * chi)
    return answer


def _log_place(frequency: np.ndarray, sampling_rate: float | None) -> np.ndarray:
    if sampling_rate is None:
        return np.log(frequency)
    return np.log(np.tan(np.pi * np.asarray(frequency) / sampling_rate))


def _check(frequency: np.ndarray, magnitude: np.ndarray) -> None:
    if frequency.size < FEWEST:
        raise RoundoverError(
            f"the phase of {frequency.size} frequencies cannot be told; take {FEWEST} or more"
        )
    if frequency[0] <= 0 or np.any(np.diff(frequency) <= 0):
        raise RoundoverError("frequencies must be positive and ascending; leave out 0 Hz")
    if not (np.all(np.isfinite(magnitude)) and np.all(magnitude > 0)):
        raise RoundoverError(
            "a magnitude must be positive at every frequency for its phase to be told; leave out "
            "the frequencies where nothing was measured"
        )
