"""What is read off a box's curves: levels, where they end, delays."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from acoustics.case.design.model import Case
from acoustics.conventions import DRIVE_VOLTAGE, REFERENCE_PRESSURE, Air
from acoustics.source.cone import series_resistance


def half_space_level(
    volume_velocity: np.ndarray, frequency: np.ndarray, air: Air, voltage: float = DRIVE_VOLTAGE
) -> np.ndarray:
    """Level at 1 m of a simple source in half space, dB: p = ρf|U| per metre.

    Args:
        volume_velocity: m³/s per V, complex (…, frequency).
        frequency: Hz, shape (frequency,).
        air: the medium.
        voltage: rms, V.
    """
    pressure = air.density * frequency * np.abs(volume_velocity) * voltage
    floor = np.finfo(float).tiny
    answer: np.ndarray = 20 * np.log10(np.maximum(pressure, floor) / REFERENCE_PRESSURE)
    return answer


def reference_level(case: Case, drivers: Sequence[int]) -> float:
    """Level at 1 m for 2.83 V far above resonance of drivers that play together, dB.

    Σ ρ·Bl·S/(2π·R·M) (Small, J. Audio Eng. Soc. 20, 1972, 383; from memory); the coils' inductance
    left out, the amplifier's and the cable's resistance counted. −∞ where they cancel.
    """
    whole = 0.0
    for number in drivers:
        driver = case.drivers[number]
        signal = driver.small_signal
        assert signal is not None
        resistance = signal.dc_resistance + series_resistance(case)
        push = signal.force_factor * signal.effective_area / (resistance * signal.moving_mass)
        whole += -push if driver.inverted else push
    pressure = case.air.density / (2 * math.pi) * abs(whole) * DRIVE_VOLTAGE
    return -math.inf if pressure == 0 else 20 * math.log10(pressure / REFERENCE_PRESSURE)


def lowest(frequency: np.ndarray, level: np.ndarray, reference: float, down: float) -> float:
    """Frequency (Hz) below which a level stays under its reference by more than `down` (dB).

    Followed downward from where the level first comes up to the reference, or from its highest
    value if it never does; linear between points over log frequency. NaN where it does not fall
    that far, or never comes so high.
    """
    there = np.flatnonzero(level >= reference)
    start = int(there[0]) if there.size else int(level.argmax())
    below = np.flatnonzero(level[: start + 1] < reference - down)
    if below.size == 0 or below[-1] == start:
        return math.nan
    i = int(below[-1])
    part = (reference - down - level[i]) / (level[i + 1] - level[i])
    return float(frequency[i] * (frequency[i + 1] / frequency[i]) ** part)


def group_delay(volume_velocity: np.ndarray, frequency: np.ndarray) -> np.ndarray:
    """Group delay of the far pressure, which follows jωU, s.

    Args:
        volume_velocity: complex (…, frequency).
        frequency: Hz, close enough for the phase to turn by less than half a circle in between.
    """
    phase = np.unwrap(np.angle(1j * volume_velocity), axis=-1)
    answer: np.ndarray = -np.gradient(phase, 2 * np.pi * frequency, axis=-1)
    return answer
