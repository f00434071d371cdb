"""What makes a driver a resistance, or weaker, for the crossover before it.

Every element here lies across the driver or before it; formulas are circuit identities, and what is
common practice says so.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import astuple, dataclass

import numpy as np
from scipy.optimize import OptimizeResult, least_squares

from acoustics.case.design.network_model import Element
from acoustics.conventions import RoundoverError
from acoustics.driver import SmallSignal

LEAST_REACTANCE = 0.01
"""Less is lost in what resistors are exact to (common practice, no source)."""

LOWEST_PEAK, NARROWEST_PEAK = 1.05, 0.02
"""Height over R_e, and width over f_r, that a peak is taken to have at least when it is read."""

EXACT = 1e-12
"""To what share a fit's values, error and slope settle."""


def attenuator(attenuation: float, load: float) -> tuple[Element, Element]:
    """A resistor in series and one across that weaken a resistance and look like it.

    R_s = R(1 − k), R_p = Rk/(1 − k) with k = 10^(−attenuation/20).

    Args:
        attenuation: dB, above 0.
        load: R, ohm.

    Raises:
        RoundoverError: an attenuation that is not above 0.
    """
    if not attenuation > 0:
        raise RoundoverError(
            f"an attenuator weakens by more than 0 dB, not by {attenuation:g} dB; leave it out"
        )
    k = 10 ** (-attenuation / 20)
    return (
        Element("series", resistor=load * (1 - k)),
        Element("across", resistor=load * k / (1 - k)),
    )


def coil_compensation(resistance: float, inductance: float) -> Element:
    """Resistor and capacitor, one after the other, that make a blocked voice coil a resistance.

    R = R_e and C = L_e/R_e²: exact for a coil of a resistance (ohm) and an inductance (H) alone.
    Builders take R = 1.25 R_e for real coils, whose losses grow with frequency (common practice, no
    source); `fitted_coil_compensation` finds what suits one.
    """
    return Element("across", resistor=resistance, capacitor=inductance / resistance**2)


def fitted_coil_compensation(
    frequency: np.ndarray,
    impedance: np.ndarray,
    band: tuple[float, float],
    flat: float | None = None,
) -> Element | None:
    """The same elements, such that a driver's impedance in a band is as near to `flat` as may be.

    Least squares of ln(Z/flat), magnitude and phase alike, every octave with the same weight.

    Args:
        frequency: Hz, rising, shape (frequency,).
        impedance: of the driver, ohm, complex, shape (frequency,).
        band: lowest and highest frequency that counts, Hz.
        flat: ohm; None for the lowest |Z| in the band, because what lies across lowers |Z|.

    Returns:
        None where there is nothing to do: a driver that is no coil at the top of the band, its
        reactance there below `LEAST_REACTANCE` of `flat`.

    Raises:
        RoundoverError: a band with fewer than three frequencies.
    """
    frequency, impedance, weight = _within(frequency, impedance, band)
    level = float(np.abs(impedance).min()) if flat is None else flat
    omega = 2 * np.pi * frequency

    def residual(logs: np.ndarray) -> np.ndarray:
        resistor, capacitor = np.exp(logs)
        total = 1 / (1 / impedance + 1 / (resistor + 1 / (1j * omega * capacitor)))
        return _apart(weight * np.log(total / level))

    top = float(impedance[-1].imag)
    if top < LEAST_REACTANCE * level:
        return None
    found = _least(residual, [level, top / omega[-1] / level**2])  # as of a `coil_compensation`
    resistor, capacitor = np.exp(found.x)
    return Element("across", resistor=float(resistor), capacitor=float(capacitor))


@dataclass(frozen=True)
class Peak:
    """The peak that a driver's resonance makes in its impedance, in free air or in a closed box.

    R_e + R_e (Q_M/Q_E)/(1 + jQ_M(f/f_r − f_r/f)): `dc_resistance` R_e in ohm, `resonance` f_r in
    Hz. Small, J. Audio Eng. Soc. 20 (1972) 383 (from memory).
    """

    dc_resistance: float
    resonance: float
    mechanical_q: float
    electrical_q: float

    @classmethod
    def of(cls, signal: SmallSignal) -> Peak:
        """That of a driver by itself."""
        return cls(signal.dc_resistance, signal.resonance, signal.mechanical_q, signal.electrical_q)

    def impedance(self, frequency: np.ndarray) -> np.ndarray:
        """Ohm, complex, shape (frequency,)."""
        ratio = np.asarray(frequency, dtype=float) / self.resonance
        height = self.dc_resistance * self.mechanical_q / self.electrical_q
        answer: np.ndarray = self.dc_resistance + height / (
            1 + 1j * self.mechanical_q * (ratio - 1 / ratio)
        )
        return answer


def fitted_peak(frequency: np.ndarray, impedance: np.ndarray, band: tuple[float, float]) -> Peak:
    """The peak of a tabulated impedance, with an inductance in series that is not part of it.

    Least squares of ln Z, magnitude and phase alike.

    Args:
        frequency: Hz, rising, shape (frequency,).
        impedance: of the driver, ohm, complex, shape (frequency,).
        band: lowest and highest frequency that counts, Hz; one peak within.

    Raises:
        RoundoverError: a band with fewer than three frequencies.
    """
    frequency, impedance, weight = _within(frequency, impedance, band)
    omega = 2 * np.pi * frequency

    def residual(logs: np.ndarray) -> np.ndarray:
        *of_peak, inductance = np.exp(logs)
        total = Peak(*of_peak).impedance(frequency) + 1j * omega * inductance
        return _apart(weight * np.log(total / impedance))

    read = astuple(read_peak(frequency, np.abs(impedance)))
    # From next to no coil, and from one that makes all of the impedance at the top.
    coil = abs(impedance[-1]) / omega[-1]
    tried = [_least(residual, [*read, each]) for each in (0.01 * coil, coil)]
    found = min(tried, key=lambda each: each.cost)
    return Peak(*(float(each) for each in np.exp(found.x)[:4]))


def read_peak(frequency: np.ndarray, size: np.ndarray) -> Peak:
    """A peak as it is read off a curve of |Z| by its height and its width.

    R_e is the lowest |Z|; where it is √(R_max R_e) the peak is f_r √(R_max/R_e)/Q_M wide (Small
    1972, from memory). Of what is no peak, or one that the frequencies miss, something that a fit
    can begin with.

    Args:
        frequency: Hz, rising, shape (frequency,).
        size: |Z|, ohm, shape (frequency,).
    """
    lowest, top = float(size.min()), int(size.argmax())
    height = max(float(size[top]) / lowest, LOWEST_PEAK)
    high = frequency[size > lowest * math.sqrt(height)]
    width = max(float(np.ptp(high) / frequency[top]), NARROWEST_PEAK) if high.size else 1.0
    q = math.sqrt(height) / width
    return Peak(lowest, float(frequency[top]), q, q / (height - 1))


def resonance_compensation(peak: Peak) -> Element:
    """Coil, capacitor and resistor, one after the other, that take a driver's peak away.

    The dual of the movement about R_e: R = R_e(1 + Q_E/Q_M); L = R_e Q_E/ω_r, or R_e² M/(Bl)²;
    C = 1/(ω_r R_e Q_E), or C_MS (Bl)²/R_e². Together with the driver it is R_e at every frequency
    if the coil has no inductance. With a `coil_compensation` beside it that holds where either the
    resonance or the inductance does not matter. The coil's wire may be part of R.
    """
    omega = 2 * math.pi * peak.resonance
    return Element(
        "across",
        inductor=peak.dc_resistance * peak.electrical_q / omega,
        capacitor=1 / (omega * peak.dc_resistance * peak.electrical_q),
        resistor=peak.dc_resistance * (1 + peak.electrical_q / peak.mechanical_q),
    )


def _within(
    frequency: np.ndarray, impedance: np.ndarray, band: tuple[float, float]
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """What lies in a band, and the root of its weight: the same for every octave."""
    frequency = np.asarray(frequency, dtype=float)
    inside = (frequency >= band[0]) & (frequency <= band[1])
    if np.count_nonzero(inside) < 3:
        raise RoundoverError(
            f"the impedance is known at {np.count_nonzero(inside)} frequencies between "
            f"{band[0]:g} Hz and {band[1]:g} Hz; at least 3 are needed, so widen the band"
        )
    frequency = frequency[inside]
    return frequency, np.asarray(impedance)[inside], np.sqrt(np.gradient(np.log(frequency)))


def _least(residual: Callable[[np.ndarray], np.ndarray], start: Sequence[float]) -> OptimizeResult:
    """The least squares of what depends on logarithms of positive values, to all digits."""
    return least_squares(residual, np.log(start), xtol=EXACT, ftol=EXACT, gtol=EXACT)


def _apart(values: np.ndarray) -> np.ndarray:
    """Real and imaginary parts."""
    return np.concatenate([values.real, values.imag])
