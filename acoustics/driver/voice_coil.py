"""Impedance of a voice coil at rest: inductance and semi-inductance."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class VoiceCoil:
    """What a blocked voice coil has beside its resistance.

    An inductance in series with a parallel circuit of inductance, resistance and semi-inductance,
    any of which may be missing: `inductance` and `parallel_inductance` in H, `parallel_resistance`
    in ohm, `semi_inductance` in ohm·sⁿ with n = `exponent` (semi-henry for n = ½).

    Eddy currents in the pole make the impedance rise as √(jω) (Vanderkooy, J. Audio Eng. Soc. 37,
    1989, 119), or as another power n of it (Leach, J. Audio Eng. Soc. 50, 2002, 442); in parallel
    with the rest: Thorborg & Futtrup, J. Audio Eng. Soc. 59 (2011) 612. From memory.
    """

    inductance: float = 0.0
    parallel_inductance: float | None = None
    parallel_resistance: float | None = None
    semi_inductance: float | None = None
    exponent: float = 0.5


NO_COIL = VoiceCoil()
"""Nothing but its resistance."""


def coil_impedance(coil: VoiceCoil, frequency: np.ndarray) -> np.ndarray:
    """Impedance of a blocked voice coil without its resistance.

    Args:
        coil: the voice coil.
        frequency: Hz, above 0, shape (frequency,).

    Returns:
        ohm, complex, shape (frequency,).
    """
    s = 2j * np.pi * np.asarray(frequency, dtype=float)
    branches = []
    if coil.parallel_inductance is not None:
        branches.append(s * coil.parallel_inductance)
    if coil.parallel_resistance is not None:
        branches.append(np.full(s.shape, complex(coil.parallel_resistance)))
    if coil.semi_inductance is not None:
        branches.append(coil.semi_inductance * s**coil.exponent)
    answer: np.ndarray = s * coil.inductance
    if branches:
        admittance = np.sum([1 / branch for branch in branches], axis=0)
        answer = answer + 1 / admittance
    return answer
