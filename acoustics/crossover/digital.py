"""Filters as a digital processor computes them: second-order sections, impulse responses, delays.

The bilinear transform puts s = c·(1 − z⁻¹)/(1 + z⁻¹) (Oppenheim & Schafer, Discrete-Time Signal
Processing, ch. 7). With c = 1/tan(πf₀/f_s) for every section by itself its corner f₀ is where it
is meant to be; above it frequencies are drawn together, and half the sampling rate stands for
infinity.
"""

from __future__ import annotations

import math

import numpy as np

from acoustics.case.design.model import AllPass, Biquad, Fir, ParametricSection, PassFilter, Section
from acoustics.case.design.section_model import whole_samples
from acoustics.crossover.alignments import ALIGNMENTS
from acoustics.crossover.all_pass import all_pass_quotient
from acoustics.crossover.parametric import Powers, parametric_quotient


def stages_of(section: Section, rate: float) -> np.ndarray:
    """The second-order sections that realise a section at a sampling rate (Hz).

    Args:
        section: any but a `Fir`; its corners below rate/2.
        rate: Hz.

    Returns:
        Rows b0, b1, b2, 1, a1, a2 of y[n] = b0 x[n] + b1 x[n−1] + b2 x[n−2] − a1 y[n−1]
        − a2 y[n−2], shape (stage, 6); a first-order one has b2 = a2 = 0.
    """
    if isinstance(section, Biquad):
        return np.array([[*section.b, *section.a]])
    if isinstance(section, PassFilter):
        return _pass_stages(section, rate)
    if isinstance(section, ParametricSection):
        return _row(parametric_quotient(section, _second(section.frequency, rate)))
    if isinstance(section, AllPass):
        powers = (_first if section.q is None else _second)(section.frequency, rate)
        return _row(all_pass_quotient(section, powers))
    raise TypeError(f"a {type(section).__name__} has no second-order sections")


def digital_response(section: Section, frequency: np.ndarray, rate: float) -> np.ndarray:
    """Transfer function of a section at a sampling rate (Hz), complex, shape (frequency,)."""
    if isinstance(section, Fir):
        return fir_response(np.array(section.taps), frequency, rate)
    return stages_response(stages_of(section, rate), frequency, rate)


def stages_response(stages: np.ndarray, frequency: np.ndarray, rate: float) -> np.ndarray:
    """Transfer function of second-order sections in cascade, complex, shape (frequency,)."""
    back = np.exp(-2j * np.pi * np.asarray(frequency) / rate)
    powers = np.stack([np.ones_like(back), back, back**2])
    answer: np.ndarray = np.prod((stages[:, :3] @ powers) / (stages[:, 3:] @ powers), axis=0)
    return answer


def fir_response(taps: np.ndarray, frequency: np.ndarray, rate: float) -> np.ndarray:
    """Transfer function of an impulse response, complex, shape (frequency,).

    Args:
        taps: shape (tap,).
        frequency: Hz, shape (frequency,).
        rate: sampling rate, Hz.
    """
    frequency = np.asarray(frequency, dtype=float)
    answer = np.zeros(frequency.shape, dtype=complex)
    # In pieces, because all taps at all frequencies at once may be a table of gigabytes.
    for start in range(0, taps.size, 1024):
        piece = taps[start : start + 1024]
        places = np.arange(start, start + piece.size)
        answer += np.exp(-2j * np.pi * np.outer(frequency / rate, places)) @ piece
    return answer


def realised_delay(delay: float, rate: float | None) -> float:
    """A delay (s) as it is realised: in whole samples where there is a sampling rate."""
    return delay if rate is None else whole_samples(delay, rate) / rate


def _pass_stages(section: PassFilter, rate: float) -> np.ndarray:
    """A high-pass at the low corner, then a low-pass at the high one."""
    poles = ALIGNMENTS[section.alignment](section.order)
    rows = []
    for corner, high in ((section.low_corner, True), (section.high_corner, False)):
        if corner is None:
            continue
        for total, product in _pairs(poles):
            one, s, s2 = _second(corner, rate)
            if high:  # s → 1/s
                rows.append(_row((product * s2, one + total * s + product * s2)))
            else:
                rows.append(_row((product * one, s2 + total * s + product * one)))
        for pole in _left_over(poles):
            one, s, _ = _first(corner, rate)
            if high:
                rows.append(_row((pole * s, one + pole * s)))
            else:
                rows.append(_row((pole * one, s + pole * one)))
    return np.concatenate(rows)


def _pairs(poles: np.ndarray) -> list[tuple[float, float]]:
    """−(p + q) and pq of the pairs of poles, the least resonant first: both reals, conjugates."""
    real = _reals(poles)
    turning = sorted((pole for pole in poles if pole.imag > 0), key=np.angle, reverse=True)
    pairs = [(sum(real), math.prod(real))] if len(real) == 2 else []
    return pairs + [(-2 * pole.real, abs(pole) ** 2) for pole in turning]


def _left_over(poles: np.ndarray) -> list[float]:
    """The real pole that has no partner, its sign turned."""
    real = _reals(poles)
    return real if len(real) == 1 else []


def _reals(poles: np.ndarray) -> list[float]:
    """Real poles, their signs turned: of no alignment more than two."""
    return [-float(pole.real) for pole in poles if pole.imag == 0]


def _second(corner: float, rate: float) -> Powers:
    """1, s and s² times (1 + z⁻¹)², as polynomials in z⁻¹; s is counted in the corner."""
    c = _prewarped(corner, rate)
    return np.array([1.0, 2.0, 1.0]), c * np.array([1.0, 0.0, -1.0]), c**2 * _DIFFERENCE_TWICE


def _first(corner: float, rate: float) -> Powers:
    """1 and s times (1 + z⁻¹); there is no s² in a first-order section."""
    one, s = np.array([1.0, 1.0, 0.0]), _prewarped(corner, rate) * np.array([1.0, -1.0, 0.0])
    return one, s, np.zeros_like(s)


_DIFFERENCE_TWICE = np.array([1.0, -2.0, 1.0])


def _prewarped(corner: float, rate: float) -> float:
    return 1 / math.tan(math.pi * corner / rate)


def _row(quotient: tuple[np.ndarray | float, np.ndarray | float]) -> np.ndarray:
    above, below = map(np.asarray, quotient)
    return np.concatenate([above, below])[None] / below[0]
