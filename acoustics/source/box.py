"""The air of an enclosure: its stiffness, its losses, and what it is tuned to."""

from __future__ import annotations

import math

import numpy as np

from acoustics.cabinet.ports import (
    air_volume,
    effective_length,
    port_tuning,
    radiator_tuning,
)
from acoustics.case.design.enclosure_model import Enclosure
from acoustics.case.design.model import Case
from acoustics.conventions import Air
from acoustics.source.radiators import passive_area, port_area


def box_compliance(enclosure: Enclosure, air: Air) -> float:
    """Acoustic compliance of an enclosure's air, V/(ρc²), its fill included, m³/Pa."""
    return air_volume(enclosure.volume, enclosure.fill) / (air.density * air.speed_of_sound**2)


def tuning_of(case: Case, enclosure: Enclosure) -> float:
    """What an enclosure is tuned to, Hz.

    The resonance of its ports with its air; of its passive radiators, in step, with its air and
    their own suspension; or, closed, of its drivers in it (of several, the root mean square of what
    each would have if it moved as the others do). A closed box whose drivers have no small-signal
    parameters has none: infinite.
    """
    if enclosure.kind == "vented":
        seeming = air_volume(enclosure.volume, enclosure.fill)
        areas = [port_area(port) for port in enclosure.ports]
        lengths = [
            effective_length(port.length, area, (port.outer_end, port.inner_end))
            for port, area in zip(enclosure.ports, areas, strict=True)
        ]
        return port_tuning(seeming, areas, lengths, case.air.speed_of_sound)
    compliance = box_compliance(enclosure, case.air)
    if enclosure.kind == "passive radiator":
        passives = enclosure.passive_radiators
        return radiator_tuning(
            1 / compliance,
            [passive_area(each) for each in passives],
            [each.compliance for each in passives],
            [each.moving_mass for each in passives],
        )
    signals = [case.driver(name).small_signal for name in enclosure.drivers]
    known = [signal for signal in signals if signal is not None]
    if not known:
        return math.inf
    own = [(2 * math.pi * signal.resonance) ** 2 for signal in known]
    by_box = sum(s.effective_area**2 / s.moving_mass for s in known) / compliance
    return math.sqrt(sum(own) / len(own) + by_box) / (2 * math.pi)


def box_admittance(
    case: Case, enclosure: Enclosure, tuning: float, frequency: np.ndarray
) -> np.ndarray:
    """Volume velocity per pressure that an enclosure's air takes up, and its leaks let out.

    Compliance in series with the loss of absorption, 1/(ω_b C Q_A), and beside it the leaks (Small,
    J. Audio Eng. Soc. 21, 1973, 363; from memory).

    Args:
        case: for the air.
        enclosure: volume and Q of its losses.
        tuning: Hz, where the Q hold.
        frequency: Hz, shape (frequency,).

    Returns:
        m³/(s Pa), complex, shape (frequency,).
    """
    compliance = box_compliance(enclosure, case.air)
    loss = 1 / (2 * np.pi * tuning * compliance * enclosure.absorption_q)
    stiff = 1 / (2j * np.pi * frequency * compliance)
    answer: np.ndarray = 1 / (stiff + loss) + leak_admittance(case, enclosure, tuning)
    return answer


def leak_admittance(case: Case, enclosure: Enclosure, tuning: float) -> float:
    """Volume velocity per pressure that leaks let out, ω_b C/Q_L, m³/(s Pa)."""
    if math.isinf(tuning):
        return 0.0
    return 2 * math.pi * tuning * box_compliance(enclosure, case.air) / enclosure.leakage_q
