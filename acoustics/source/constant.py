"""A driver of constant sensitivity: a constant-acceleration piston, without a low-frequency end."""

from __future__ import annotations

import numpy as np

from acoustics.case.model import Driver
from acoustics.conventions import DRIVE_VOLTAGE, REFERENCE_PRESSURE, Air


def constant_sensitivity(driver: Driver, frequency: np.ndarray, air: Air) -> np.ndarray:
    """Volume velocity per volt of a driver whose level does not depend on frequency.

    A piston of volume velocity Q in a half space gives |p| = ωρ|Q|/(2π·1 m) at 1 m; that is the
    driver's sensitivity for DRIVE_VOLTAGE. The acceleration jωQ is real and positive, times the
    delay of the acoustic centre behind the front face, times −1 for an inverted driver.

    Args:
        driver: sensitivity (dB at 1 m for 2.83 V into half space), acoustic depth (m), polarity.
        frequency: Hz, above 0, shape (frequency,).
        air: the medium.

    Returns:
        m³/s per volt, complex, shape (frequency,).
    """
    omega = 2 * np.pi * np.asarray(frequency, dtype=float)
    pressure = REFERENCE_PRESSURE * 10 ** (driver.sensitivity / 20)
    velocity = 2 * np.pi * pressure / (1j * omega * air.density * DRIVE_VOLTAGE)
    delay = np.exp(-1j * omega / air.speed_of_sound * driver.acoustic_depth)
    return (-1.0 if driver.inverted else 1.0) * velocity * delay
