"""What drivers on a passive crossover draw at their terminals, each other's movement included."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from acoustics.case.design.model import Case
from acoustics.source.cone import back_voltage, motor_impedance
from acoustics.source.measured import measured_at
from acoustics.source.motion import Motion


def terminal_admittance(
    case: Case, motion: Motion, drivers: Sequence[int], frequency: np.ndarray
) -> np.ndarray:
    """Current into each of some drivers per volt at each of them, the others shorted.

    (δ − Bl·U/S)/Z_e with the volume velocity U of the driver for a volt at the other, so drivers in
    one box drive each other as generators through the air in it. A driver whose impedance was
    measured is that impedance, whatever the others do. One of which nothing is known but its rated
    impedance is a resistance. Drivers with amplifiers of their own count as shorted; what they do
    of themselves is `induced_admittance`.

    Args:
        case: the design.
        motion: of the same design.
        drivers: numbers of drivers on the passive crossover.
        frequency: Hz, shape (frequency,).

    Returns:
        A/V, complex, shape (driver, driver, frequency), in the order of `drivers`, each driver with
        its terminals as they are marked, whatever its polarity.
    """
    answer = np.zeros((len(drivers), len(drivers), frequency.size), dtype=complex)
    measured = [n for n, number in enumerate(drivers) if case.drivers[number].impedance is not None]
    for row, number in enumerate(drivers):
        driver = case.drivers[number]
        if driver.impedance is not None:
            answer[row, row] = 1 / measured_at(driver.impedance, frequency)[0]
            continue
        signal = driver.small_signal
        if signal is None:
            assert driver.rated_impedance is not None
            answer[row, row] = 1 / driver.rated_impedance
            continue
        moved = motion.volume_velocity[number, list(drivers)]
        answer[row] = -back_voltage(signal, moved)
        answer[row, measured] = 0.0  # the circuit stays reciprocal
        answer[row, row] += 1
        answer[row] /= motor_impedance(case, number, frequency)
    return answer


def induced_admittance(
    case: Case, motion: Motion, drivers: Sequence[int], others: Sequence[int], frequency: np.ndarray
) -> np.ndarray:
    """Current into each of some drivers, shorted, per volt at others with amplifiers of their own.

    −Bl·U/(S Z_e): what one of them plays in the same box moves the cones of the drivers too. As
    above a driver whose impedance was measured, or is not known, stays without.

    Returns:
        A/V, complex, shape (driver, other, frequency), with terminals as they are marked.
    """
    answer = np.zeros((len(drivers), len(others), frequency.size), dtype=complex)
    for row, number in enumerate(drivers):
        driver = case.drivers[number]
        if driver.impedance is None and driver.small_signal is not None and len(others):
            moved = motion.volume_velocity[number, list(others)]
            motor = motor_impedance(case, number, frequency)
            answer[row] = -back_voltage(driver.small_signal, moved) / motor
    return answer
