"""Porous layers: felt, mineral wool, carpets.

Miki, J. Acoust. Soc. Jpn (E) 11, 1990, 19: Delany and Bazley's fit to measurements, made physical.
Fitted for 0.01 < f/σ < 1 (Hz per Pa s/m²). Far below that, thin layers on a hard backing come out
with a slightly negative resistance (they would reflect up to 2 % too much); it is held at 0.
"""

from __future__ import annotations

import numpy as np

from acoustics.case.design.model import Absorber
from acoustics.conventions import Air


def characteristic(flow_resistivity: float, frequency: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Characteristic impedance over ρc and wavenumber over that of air, complex, (frequency,).

    Zc = 1 + 5.50 Y^−0.632 − j 8.43 Y^−0.632 and kc = 1 + 7.81 Y^−0.618 − j 11.41 Y^−0.618 with
    Y = 1000 f/σ (Miki 1990, eqs. 33 to 36; from memory), for exp(+jωt).

    Args:
        flow_resistivity: static, Pa s/m².
        frequency: Hz, shape (frequency,).
    """
    y = 1000.0 * frequency / flow_resistivity
    return (
        1 + (5.50 - 8.43j) * y**-0.632,
        1 + (7.81 - 11.41j) * y**-0.618,
    )


def surface_impedance(absorber: Absorber, frequency: np.ndarray, air: Air) -> np.ndarray:
    """Impedance over ρc of a layer on a hard backing: −j Zc cot(kc d), complex, (frequency,).

    Its resistance is at least 0.
    """
    impedance, relative = characteristic(absorber.flow_resistivity, frequency)
    depth = 2 * np.pi * frequency / air.speed_of_sound * relative * absorber.thickness
    answer: np.ndarray = -1j * impedance / np.tan(depth)
    return np.maximum(answer.real, 0.0) + 1j * answer.imag
