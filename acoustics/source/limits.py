"""The highest voltage a driver can take: by displacement, power, port speed, amplifier."""

from __future__ import annotations

import math

import numpy as np

from acoustics.case.design.model import Case
from acoustics.source.cone import resistance_before
from acoustics.source.motion import Motion

LIMITS = ("displacement", "power", "port speed", "passive radiator", "amplifier")

PORT_SPEED = 17.0
"""m/s, peak: above it a port is heard (common practice, no source)."""


def input_limits(case: Case, motion: Motion, frequency: np.ndarray) -> np.ndarray:
    """Highest rms voltage at each driver by everything that may limit it, for a steady sine.

    Power is that of the voltage at the terminals in the rated impedance (IEC 60268-5, from memory),
    where that is not stated in the voice coil's resistance. What amplifier and cable take of the
    voltage, by their resistance, does not reach the terminals.

    Args:
        case: the design.
        motion: of the same design.
        frequency: Hz, shape (frequency,).

    Returns:
        V, shape (limit, driver, frequency), in the order of `LIMITS`; infinite where there is
        nothing to limit, NaN where what it takes is not stated.
    """
    limits = np.full((len(LIMITS), len(case.drivers), frequency.size), np.inf)
    found = dict(zip(LIMITS, limits, strict=True))
    for number, driver in enumerate(case.drivers):
        found["displacement"][number] = np.nan
        if driver.most_displacement is not None:
            moved = displacement(motion, number, number, frequency)
            found["displacement"][number] = driver.most_displacement / moved
        signal = driver.small_signal
        impedance = driver.rated_impedance or (signal.dc_resistance if signal else None)
        known = driver.power is not None and impedance is not None
        found["power"][number] = math.sqrt(driver.power * impedance) if known else np.nan  # type: ignore[operator]
        if signal is not None:
            found["power"][number] *= np.abs(
                1 + resistance_before(case, number) / motion.impedance[number]
            )
        voltage = None if case.amplifier is None else case.amplifier.voltage
        found["amplifier"][number] = np.nan if voltage is None else voltage
        for row, radiator in enumerate(motion.radiators):
            if not np.any(motion.volume_velocity[row, number]):
                continue
            if radiator.kind == "port":
                speed = air_speed(motion, row, number)
                where, most = "port speed", PORT_SPEED / np.maximum(speed, np.finfo(float).tiny)
            elif radiator.kind == "passive radiator":
                moved = displacement(motion, row, number, frequency)
                where, most = "passive radiator", (radiator.most_displacement or np.nan) / moved
            else:
                continue
            # NaN, not stated, wins over what another one allows.
            found[where][number] = np.minimum(found[where][number], most)
    return limits


def displacement(motion: Motion, radiator: int, driver: int, frequency: np.ndarray) -> np.ndarray:
    """Peak displacement of a radiator for one volt rms at a driver, m, shape (frequency,)."""
    return air_speed(motion, radiator, driver) / (2 * np.pi * frequency)


def air_speed(motion: Motion, radiator: int, driver: int) -> np.ndarray:
    """Peak speed of a radiator for one volt rms at a driver, m/s, shape (frequency,).

    Of a port: the mean over its cross-section.
    """
    answer: np.ndarray = (
        math.sqrt(2)
        * np.abs(motion.volume_velocity[radiator, driver])
        / motion.radiators[radiator].area
    )
    return answer
