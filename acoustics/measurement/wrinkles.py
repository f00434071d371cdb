"""Narrow wrinkles of an impedance: small resonances that a smooth model does not have."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import least_squares

from acoustics.measurement.wrinkle_bank import (
    BROADER,
    LEAST_POINTS,
    WIDTHS,
    Bank,
    bank_of,
    loop,
    near,
    quality,
    smooth,
)

FALSE_ALARMS = 0.01
"""Share of clean impedances in which one is found"""

ALIKE = 3.0
"""Loops of the bank that count as one, because they find nearly the same: of clean impedances with
noise, 24 and 48 points to the octave, less than FALSE_ALARMS then have a false one."""

LEAST_NOISE = 1e-3
"""Share of the impedance: what is smaller may be what the smooth model lacks"""

MOST = 12
"""wrinkles that are told of one impedance"""

TO_NORMAL = 1.4826
"""Median of the sizes of normal numbers → their standard deviation"""


@dataclass(frozen=True)
class Wrinkle:
    """A narrow resonance in an impedance; uncertainties are standard deviations.

    Attributes:
        frequency, frequency_uncertainty: Hz.
        size, size_uncertainty: of the loop, ohm.
        share: of |Z| there.
        q, q_uncertainty: of the resonance; narrower ones than points can show are told as wider.
        factor: c of its loop in the logarithm of the impedance, complex.
        significance: by how many standard deviations of the noise it stands out.
    """

    frequency: float
    frequency_uncertainty: float
    size: float
    size_uncertainty: float
    share: float
    q: float
    q_uncertainty: float
    significance: float
    factor: complex

    def curve(self, frequency: np.ndarray) -> np.ndarray:
        """By what it multiplies an impedance, complex, shape (frequency,)."""
        answer: np.ndarray = np.exp(self.factor * loop(frequency, self.frequency, self.q))
        return answer


def find_wrinkles(
    frequency: np.ndarray,
    impedance: np.ndarray,
    model: np.ndarray,
    *,
    has_phase: bool = True,
    bank: Bank | None = None,
) -> tuple[Wrinkle, ...]:
    """Small resonance loops c/(1 + jQ(f/f₀ − f₀/f)) in what is left of a smooth model.

    Loops of many widths are held against ln(measured/model), each with what is smooth about it
    taken out. The noise is estimated from the data: from the differences of neighbours, and from
    what loops of the same width find elsewhere, whichever is more; so a smooth misfit is no
    wrinkle, nor is noise that is alike at neighbouring points. The threshold is such that of
    impedances with noise alone one in a hundred has a false one.

    Args:
        frequency: Hz, ascending, shape (frequency,), equally spaced on a logarithmic scale or
            nearly so.
        impedance: measured, ohm, complex, shape (frequency,); its size alone will do.
        model: what it should smoothly be, ohm, complex, likewise.
        has_phase: whether the phase of what was measured says anything.
        bank: `bank_of` the frequencies, where many impedances have the same.

    Returns:
        The wrinkles by frequency, MOST of them at most.
    """
    if frequency.size < 2 * LEAST_POINTS:
        return ()
    loops = bank_of(frequency, has_phase) if bank is None else bank
    data = np.log(impedance / model) if has_phase else np.log(np.abs(impedance) / np.abs(model))
    noise = _noise(data)
    limit = np.sqrt(2 * np.log(loops.place.size / ALIKE / FALSE_ALARMS))
    found: list[Wrinkle] = []
    scales: np.ndarray | None = None
    for _ in range(2 * MOST):
        taken = np.abs(loops.rows @ data)
        if scales is None:
            scales = _scales(loops, taken, noise)
        stands_out = taken / scales
        best = int(stands_out.argmax())
        if stands_out[best] < limit or len(found) == MOST:
            break
        place, width = float(loops.place[best]), float(loops.width[best])
        fitted, curve, narrow = _refined(
            loops, data, model, place, width, float(scales[best]), float(stands_out[best])
        )
        data = data - curve
        if narrow:
            found.append(fitted)
    return tuple(sorted(found, key=lambda each: each.frequency))


def _noise(data: np.ndarray) -> float:
    """Standard deviation of a real part, from third differences, whose weights are 1 3 3 1."""
    third = np.diff(data, 3) / np.sqrt(20.0)
    parts = np.abs(np.concatenate([third.real, third.imag]) if np.iscomplexobj(data) else third)
    return float(np.hypot(TO_NORMAL * np.median(parts), LEAST_NOISE))


def _scales(loops: Bank, taken: np.ndarray, noise: float) -> np.ndarray:
    """Noise in each product with a loop; that of a width is no less than it is elsewhere.

    The median size of two normal numbers is √(2 ln 2) standard deviations.
    """
    scales = np.empty(taken.size)
    for width in np.unique(loops.width):
        own = loops.width == width
        scales[own] = max(noise, float(np.median(taken[own])) / np.sqrt(2 * np.log(2)))
    return scales


def _refined(
    loops: Bank,
    data: np.ndarray,
    model: np.ndarray,
    place: float,
    width: float,
    noise: float,
    significance: float,
) -> tuple[Wrinkle, np.ndarray, bool]:
    """The loop that fits best near one of the bank, its curve, and whether it is a narrow one."""
    frequency = loops.frequency
    part = near(frequency, place, 1.5 * width)
    here, values = frequency[part], data[part]
    base = smooth(here, place)

    def columns(unknown: np.ndarray) -> np.ndarray:
        own = loop(here, place * np.exp(unknown[0]), np.exp(unknown[1]))
        if loops.has_phase:
            return np.column_stack([base, own])
        return np.column_stack([base, own.real, -own.imag])

    def left(unknown: np.ndarray) -> np.ndarray:
        both = columns(unknown)
        rest = values - both @ np.linalg.lstsq(both, values, rcond=None)[0]
        return np.concatenate([rest.real, rest.imag]) if loops.has_phase else rest

    start = np.array([0.0, np.log(quality(width))])
    spacing = float(np.median(np.diff(np.log2(here))))
    widest, narrowest = (np.log(quality(w)) for w in (max(BROADER), max(min(WIDTHS), spacing)))
    away = max(width, spacing) * np.log(2)
    start[1] = np.clip(start[1], widest + 1e-6, narrowest - 1e-6)
    bounds = ([-away, widest], [away, narrowest])
    best = least_squares(left, start, bounds=bounds, x_scale=[away, 0.3])
    both = columns(best.x)
    weight = np.linalg.lstsq(both, values, rcond=None)[0]
    c = complex(weight[-1]) if loops.has_phase else complex(weight[-2], weight[-1])
    spread, share_spread = _spreads(here, base, c, place, best.x, loops.has_phase)
    at, q = place * float(np.exp(best.x[0])), float(np.exp(best.x[1]))
    there = float(np.interp(at, frequency, np.abs(model)))
    whole = c * loop(frequency, at, q)
    wrinkle = Wrinkle(
        frequency=at,
        frequency_uncertainty=at * noise * float(spread[0]),
        size=abs(c) * there,
        size_uncertainty=noise * share_spread * there,
        share=abs(c),
        q=q,
        q_uncertainty=q * noise * float(spread[1]),
        significance=significance,
        factor=c,
    )
    narrow = q >= quality(1.15 * max(WIDTHS))
    return wrinkle, whole if loops.has_phase else whole.real, narrow


def _spreads(
    frequency: np.ndarray,
    base: np.ndarray,
    c: complex,
    place: float,
    unknown: np.ndarray,
    has_phase: bool,
) -> tuple[np.ndarray, float]:
    """Standard deviations for a noise of 1: of the logarithms of place and Q, and of |c|."""

    def own(at: np.ndarray) -> np.ndarray:
        return loop(frequency, place * np.exp(at[0]), np.exp(at[1]))

    step = 1e-5
    slopes = [c * (own(unknown + e) - own(unknown - e)) / (2 * step) for e in step * np.eye(2)]
    here = own(unknown)
    columns = np.column_stack([*slopes, here, 1j * here, base])
    if has_phase:
        columns = np.column_stack([columns, 1j * base])
    parts = np.concatenate([columns.real, columns.imag]) if has_phase else columns.real
    covariance = np.linalg.pinv(parts.T @ parts)
    way = np.array([c.real, c.imag]) / abs(c)
    return np.sqrt(np.diag(covariance)[:2]), float(np.sqrt(way @ covariance[2:4, 2:4] @ way))
