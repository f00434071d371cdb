"""A driver by itself: its motor, its moving parts, its motion where only sensitivity is known."""

from __future__ import annotations

import numpy as np

from acoustics.case.design.model import Case, Driver
from acoustics.conventions import DRIVE_VOLTAGE, REFERENCE_PRESSURE, Air
from acoustics.driver import SmallSignal, coil_impedance


def constant_velocity(driver: Driver, frequency: np.ndarray, air: Air) -> np.ndarray:
    """Volume velocity per volt of a driver whose level does not depend on frequency.

    A piston of volume velocity Q in a half space gives |p| = ωρ|Q|/(2π·1 m) at 1 m; that is the
    driver's sensitivity for DRIVE_VOLTAGE. The acceleration jωQ is real and positive.

    Args:
        driver: sensitivity (dB at 1 m for 2.83 V into half space).
        frequency: Hz, above 0, shape (frequency,).
        air: the medium.

    Returns:
        m³/s per volt, complex, shape (frequency,).
    """
    omega = 2 * np.pi * np.asarray(frequency, dtype=float)
    pressure = REFERENCE_PRESSURE * 10 ** (driver.sensitivity / 20)
    answer: np.ndarray = 2 * np.pi * pressure / (1j * omega * air.density * DRIVE_VOLTAGE)
    return answer


def motor_impedance(case: Case, driver: int, frequency: np.ndarray) -> np.ndarray:
    """What limits the current of a blocked driver, ohm, complex (frequency,).

    Its voice coil, and in series what lies before the driver.
    """
    own = case.drivers[driver]
    assert own.small_signal is not None
    resistance = own.small_signal.dc_resistance + resistance_before(case, driver)
    return resistance + coil_impedance(own.voice_coil, frequency)


def series_resistance(case: Case) -> float:
    """Of the amplifier and the cable together, ohm."""
    return 0.0 if case.amplifier is None else case.amplifier.resistance


def resistance_before(case: Case, driver: int) -> float:
    """Between a driver and the voltage that moves it, ohm.

    The amplifier's and the cable's; nothing where a passive crossover lies between, because the
    voltage is then that at the driver's own terminals.
    """
    return 0.0 if case.is_passive(case.drivers[driver].name) else series_resistance(case)


def driven_q(case: Case, signal: SmallSignal) -> float:
    """Q_TS of a driver behind the resistance of amplifier and cable."""
    share = 1 + series_resistance(case) / signal.dc_resistance
    return 1 / (1 / signal.mechanical_q + 1 / (signal.electrical_q * share))


def cone_impedance(case: Case, driver: int, frequency: np.ndarray, air_known: bool) -> np.ndarray:
    """Acoustic impedance of a driver's moving parts, its motor's damping included.

    [(Bl)²/Z_e + jωM + R + 1/(jωC)]/S² (Small 1972), with the mass of `mass_impedance`.

    Returns:
        Pa s/m³, complex, shape (frequency,).
    """
    signal = case.drivers[driver].small_signal
    assert signal is not None
    s = 2j * np.pi * frequency
    held = signal.mechanical_resistance + 1 / (s * signal.compliance)
    damping = signal.force_factor**2 / motor_impedance(case, driver, frequency)
    mass = mass_impedance(case, driver, frequency, air_known)
    answer: np.ndarray = mass + (held + damping) / signal.effective_area**2
    return answer


def mass_impedance(case: Case, driver: int, frequency: np.ndarray, air_known: bool) -> np.ndarray:
    """Acoustic impedance of a driver's moving mass alone, jωM/S².

    Where the air load on the outside is known and comes in by itself, the moving mass goes without
    what it was measured with, but for the air on the rear side; on an open baffle, of which both
    sides are outside, without all of it.

    Returns:
        Pa s/m³, complex, shape (frequency,).
    """
    own = case.drivers[driver]
    signal = own.small_signal
    assert signal is not None
    mass = signal.moving_mass
    if air_known:
        mass -= signal.air_mass(case.air)
        mass += 0.0 if own.both_sides else signal.rear_air_mass(case.air)
    answer: np.ndarray = 2j * np.pi * frequency * mass / signal.effective_area**2
    return answer


def pressure_per_volt(case: Case, driver: int, frequency: np.ndarray) -> np.ndarray:
    """Pressure with which a volt drives a cone, Bl/(S Z_e), Pa/V, complex (frequency,)."""
    signal = case.drivers[driver].small_signal
    assert signal is not None
    motor = motor_impedance(case, driver, frequency)
    answer: np.ndarray = signal.force_factor / (signal.effective_area * motor)
    return answer


def back_voltage(signal: SmallSignal, velocity: np.ndarray) -> np.ndarray:
    """Voltage that a moving voice coil sets against the current, Bl·U/S, V (U in m³/s)."""
    answer: np.ndarray = signal.force_factor * velocity / signal.effective_area
    return answer


def terminal_impedance(
    case: Case, driver: int, frequency: np.ndarray, velocity: np.ndarray
) -> np.ndarray:
    """Impedance at a driver's terminals, ohm, from its volume velocity per volt.

    Args:
        case: the design.
        driver: its number.
        frequency: Hz, shape (frequency,).
        velocity: m³/s per V, complex, shape (frequency,), by the driver's own terminals.
    """
    signal = case.drivers[driver].small_signal
    assert signal is not None
    motor = motor_impedance(case, driver, frequency)
    answer: np.ndarray = motor / (1 - back_voltage(signal, velocity))
    return answer - resistance_before(case, driver)
