"""What moves without a motor: the air in ports, and passive radiators."""

from __future__ import annotations

import math

import numpy as np

from acoustics.cabinet.ports import effective_length
from acoustics.case.design.enclosure_model import Enclosure, PassiveRadiator, Port
from acoustics.conventions import Air
from acoustics.source.radiators import port_area


def port_impedance(
    port: Port, enclosure: Enclosure, tuning: float, frequency: np.ndarray, air: Air
) -> np.ndarray:
    """Acoustic impedance of a port, its ends as in an infinite baffle included.

    A lump of air, jωρl/S, with the loss ω_b·ρl/(S Q_P): well below the frequency at which half a
    wave fits into the port.

    Returns:
        Pa s/m³, complex, shape (frequency,).
    """
    area = port_area(port)
    length = effective_length(port.length, area, (port.outer_end, port.inner_end))
    mass = air.density * length / area
    answer: np.ndarray = 2 * np.pi * mass * (1j * frequency + tuning / enclosure.port_q)
    return answer


def passive_impedance(
    passive: PassiveRadiator, frequency: np.ndarray, air: Air, air_known: bool
) -> np.ndarray:
    """Acoustic impedance of a passive radiator (Small, J. Audio Eng. Soc. 22, 1974, 592).

    Where the air load on the outside comes in by itself, the moving mass goes without it: half of
    the 8ρa³/3 that a disc in free air moves with it.

    Returns:
        Pa s/m³, complex, shape (frequency,).
    """
    radius = passive.piston_diameter / 2
    mass = passive.moving_mass - (4 / 3 * air.density * radius**3 if air_known else 0.0)
    s = 2j * np.pi * frequency
    mechanical = s * mass + passive.mechanical_resistance + 1 / (s * passive.compliance)
    answer: np.ndarray = mechanical / (math.pi * radius**2) ** 2
    return answer
