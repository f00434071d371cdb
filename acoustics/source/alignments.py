"""Classic alignments of closed and vented boxes: volume and tuning that follow from a driver.

Sources, from memory: Thiele, J. Audio Eng. Soc. 19 (1971) 382 and 471; Small, J. Audio Eng. Soc.
20 (1972) 798 (closed boxes) and 21 (1973) 363 (vented boxes).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.optimize import brentq

CLOSED = {
    "Q 0.50 critical": 0.5,
    "Q 0.58 Bessel": 1 / math.sqrt(3),
    "Q 0.71 Butterworth": 1 / math.sqrt(2),
    "Q 1.00": 1.0,
}
"""Closed boxes by their total Q at resonance, under the names of the filters they are."""

HALF_POWER = 2.0
"""|G|⁻² at f₃"""

BUTTERWORTH = math.sqrt(4 + 2 * math.sqrt(2))
"""a₁ = a₃ of the fourth-order Butterworth polynomial, 2.613"""

CLOSE = 1e-3
"""relative: how near a driver's Q must be to the one of B4 to be called that"""

LEAST_K = 0.05
"""of the Chebyshev alignments that are looked for; its ripple would be 14 dB"""


@dataclass(frozen=True)
class Alignment:
    """A box for a driver.

    `volume` is the net volume (m³), `tuning` (Hz) that of the vent or, of a closed box, the
    resonance in it, `f3` (Hz) where the response is 3 dB down, `peak` (dB) how far it rises above
    its level at high frequencies. `system_q` is a closed box's total Q.
    """

    name: str
    kind: Literal["closed", "vented"]
    volume: float
    tuning: float
    f3: float
    peak: float
    source: str
    system_q: float | None = None


def closed_alignment(
    resonance: float, total_q: float, equivalent_volume: float, system_q: float, name: str = ""
) -> Alignment | None:
    """The closed box, without losses, in which a driver gets a total Q.

    α = V_AS/V = (Q_TC/Q_TS)² − 1, f_C = f_S·√(1 + α): Small (1972).

    Args:
        resonance: f_S of the driver, Hz.
        total_q: its Q_TS.
        equivalent_volume: its V_AS, m³.
        system_q: Q_TC wanted.
        name: what it is called, "Q …" unless given.

    Returns:
        The alignment; None where the driver's own Q is that high already.
    """
    ratio = system_q / total_q
    if ratio <= 1:
        return None
    return Alignment(
        name=name or f"Q {system_q:.2f}",
        kind="closed",
        volume=equivalent_volume / (ratio**2 - 1),
        tuning=resonance * ratio,
        f3=resonance * ratio * closed_f3(system_q),
        peak=closed_peak(system_q),
        source="Small (1972)",
        system_q=system_q,
    )


def vented_alignment(
    resonance: float, total_q: float, equivalent_volume: float, leakage_q: float = math.inf
) -> Alignment | None:
    """The vented box whose response is of the family that fits the driver's Q.

    B4 (Butterworth of fourth order) where the Q is the one that takes; below it QB3
    (|G|⁻² = 1 + B·x⁻⁶ + x⁻⁸), above it C4 (Chebyshev of equal ripple). With losses Small's (1973)
    a₁, a₂, a₃ are solved for those polynomials.

    Args:
        resonance: f_S of the driver, Hz.
        total_q: its Q_TS.
        equivalent_volume: its V_AS, m³.
        leakage_q: Q_L of the box at its tuning.

    Returns:
        The alignment; None where the Q is too high for any, or the losses are.
    """
    loss = 1 / leakage_q
    butterworth = 1 / (BUTTERWORTH - loss)
    if abs(total_q / butterworth - 1) < CLOSE:
        name, h, a2 = "B4", 1.0, BUTTERWORTH**2 / 2
    elif total_q < butterworth:
        name, (h, a2) = "QB3", _quasi_butterworth(total_q, loss)
    else:
        found = _chebyshev(total_q, loss)
        if found is None:
            return None
        name, (h, a2) = "C4", found
    alpha = h * (a2 - loss / total_q) - 1 - h**2
    if not alpha > 0:
        return None
    tuning = h * resonance
    a = vented_polynomial(h, alpha, total_q, leakage_q)
    return Alignment(
        name=name,
        kind="vented",
        volume=equivalent_volume / alpha,
        tuning=tuning,
        f3=math.sqrt(resonance * tuning) * vented_f3(a),
        peak=vented_peak(a),
        source="Thiele (1971), Small (1973)",
    )


def alignments_of(
    resonance: float, total_q: float, equivalent_volume: float, leakage_q: float = math.inf
) -> tuple[Alignment, ...]:
    """Every classic alignment that a driver can have; arguments as of `vented_alignment`."""
    given = (resonance, total_q, equivalent_volume)
    closed = [closed_alignment(*given, system_q, name) for name, system_q in CLOSED.items()]
    every = [*closed, vented_alignment(*given, leakage_q)]
    return tuple(alignment for alignment in every if alignment is not None)


def closed_f3(system_q: float) -> float:
    """f₃ of a closed box over its resonance."""
    b = 1 / system_q**2 - 2
    return math.sqrt((b + math.sqrt(b**2 + 4)) / 2)


def closed_peak(system_q: float) -> float:
    """How far a closed box's response rises above its level at high frequencies, dB."""
    if system_q <= 1 / math.sqrt(2):
        return 0.0
    return 20 * math.log10(system_q**2 / math.sqrt(system_q**2 - 0.25))


def closed_response(frequency: np.ndarray, resonance: float, system_q: float) -> np.ndarray:
    """Response of a closed box, 1 at high frequencies, complex.

    Args:
        frequency: Hz.
        resonance: f_C, Hz.
        system_q: Q_TC.
    """
    s = 1j * np.asarray(frequency, dtype=float) / resonance
    answer: np.ndarray = s**2 / (s**2 + s / system_q + 1)
    return answer


def vented_polynomial(
    h: float, alpha: float, total_q: float, leakage_q: float = math.inf
) -> tuple[float, float, float]:
    """a₁, a₂, a₃ of a vented box's response s⁴/(s⁴ + a₁s³ + a₂s² + a₃s + 1); Small (1973).

    Args:
        h: tuning over the driver's resonance.
        alpha: V_AS over the box's volume.
        total_q: Q_T of the driver.
        leakage_q: Q_L of the box.
    """
    p, q, root = 1 / total_q, 1 / leakage_q, math.sqrt(h)
    return p / root + q * root, p * q + (alpha + 1 + h**2) / h, p * root + q / root


def vented_response(
    frequency: np.ndarray,
    resonance: float,
    tuning: float,
    alpha: float,
    total_q: float,
    leakage_q: float = math.inf,
) -> np.ndarray:
    """Response of a vented box, 1 at high frequencies, complex; Small (1973).

    Args:
        frequency: Hz.
        resonance: f_S of the driver, Hz.
        tuning: f_B of the box, Hz.
        alpha: V_AS over the box's volume.
        total_q: Q_T of the driver.
        leakage_q: Q_L of the box.
    """
    a1, a2, a3 = vented_polynomial(tuning / resonance, alpha, total_q, leakage_q)
    s = 1j * np.asarray(frequency, dtype=float) / math.sqrt(resonance * tuning)
    answer: np.ndarray = s**4 / (s**4 + a1 * s**3 + a2 * s**2 + a3 * s + 1)
    return answer


def vented_f3(a: Sequence[float]) -> float:
    """f₃ of a vented box over √(f_S·f_B), of the polynomial's a₁, a₂, a₃."""
    roots = np.roots([1 - HALF_POWER, *_powers(a), 1.0])
    return math.sqrt(max(_real_and_positive(roots)))


def vented_peak(a: Sequence[float]) -> float:
    """How far a vented box's response rises above its level at high frequencies, dB."""
    b1, b2, b3 = _powers(a)
    # With y = x⁻², |G|⁻² = 1 + b₁y + b₂y² + b₃y³ + y⁴ is least where its slope is 0.
    places = [0.0, *_real_and_positive(np.roots([4.0, 3 * b3, 2 * b2, b1]))]
    return max(0.0, -10 * math.log10(min(np.polyval([1.0, b3, b2, b1, 1.0], places))))


def _powers(a: Sequence[float]) -> tuple[float, float, float]:
    """b₁, b₂, b₃ of |G|⁻² = 1 + b₁x⁻² + b₂x⁻⁴ + b₃x⁻⁶ + x⁻⁸."""
    a1, a2, a3 = a
    return a1**2 - 2 * a2, a2**2 + 2 - 2 * a1 * a3, a3**2 - 2 * a2


def _real_and_positive(roots: np.ndarray) -> list[float]:
    return [float(r.real) for r in roots if abs(r.imag) < 1e-7 * abs(r) and r.real > 0]


def _quasi_butterworth(total_q: float, loss: float) -> tuple[float, float]:
    """h and a₂ of QB3: b₁ = b₂ = 0."""

    def b2(h: float) -> float:
        a1, _, a3 = vented_polynomial(h, 0.0, total_q, 1 / loss if loss else math.inf)
        return a1**4 / 4 + 2 - 2 * a1 * a3

    # It falls with h: above 0 at the tuning of B4 for all Q below that of B4, below 0 at h = 1/Q.
    h = float(brentq(b2, 1.0, 1 / total_q, xtol=1e-12))
    return h, (1 / (total_q * math.sqrt(h)) + loss * math.sqrt(h)) ** 2 / 2


def _chebyshev(total_q: float, loss: float) -> tuple[float, float] | None:
    """h and a₂ of C4; None where no ripple makes up for so high a Q.

    Poles are those of Butterworth with k times their real part: D = (k⁴ + 6k² + 1)/8,
    a₃ = k√(4 + 2√2)/D^¼, a₂ = (1 + k²(1 + √2))/D^½, a₁ = (a₃/D^½)(1 − (1 − k²)/(2√2));
    Small (1973).
    """
    p = 1 / total_q
    # From a₁ = p/√h + q√h, a₃ = p√h + q/√h: sum and difference, over p ± q, are √h ± 1/√h.

    def parts(k: float) -> tuple[float, float, float]:
        d = (k**4 + 6 * k**2 + 1) / 8
        a3 = k * BUTTERWORTH / d**0.25
        a1 = a3 / math.sqrt(d) * (1 - (1 - k**2) / (2 * math.sqrt(2)))
        a2 = (1 + k**2 * (1 + math.sqrt(2))) / math.sqrt(d)
        return (a1 + a3) / (p + loss), (a3 - a1) / (p - loss), a2

    def off(k: float) -> float:
        plus, minus, _ = parts(k)
        return plus**2 - minus**2 - 4

    if p <= loss or off(LEAST_K) > 0:
        return None
    k = float(brentq(off, LEAST_K, 1.0, xtol=1e-12))
    _, minus, a2 = parts(k)
    return ((minus + math.sqrt(minus**2 + 4)) / 2) ** 2, a2
