"""A driver's sensitivity is its level at 1 m in a half space."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.conventions import DRIVE_VOLTAGE, Air
from acoustics.source import drive_of

FREQUENCY = np.geomspace(20.0, 20_000.0, 31)
AIR = Air(speed_of_sound=343.0, density=1.2)


def source_of(make_case, driver):
    return drive_of(make_case([driver], air=AIR), FREQUENCY).source[0]


def half_space_pressure(make_case, driver):
    """An infinite baffle at 1 m: twice a free point source (method of images)."""
    k = 2 * np.pi * FREQUENCY / AIR.speed_of_sound
    field = 2j * k * AIR.speed_of_sound * AIR.density / (4 * np.pi) * np.exp(-1j * k)
    return DRIVE_VOLTAGE * source_of(make_case, driver) * field


@pytest.mark.parametrize("sensitivity", [82.0, 95.5])
def test_half_space_level_at_one_metre_is_the_sensitivity(make_case, make_driver, sensitivity):
    pressure = half_space_pressure(make_case, make_driver("d", sensitivity=sensitivity))
    level = 20 * np.log10(np.abs(pressure) / 20e-6)  # IEC 60027-3: dB re 20 µPa
    assert level == pytest.approx(np.full(31, sensitivity), abs=1e-9)


def test_acceleration_is_real_and_the_depth_a_pure_delay(make_case, make_driver):
    omega = 2 * np.pi * FREQUENCY
    flat = 1j * omega * source_of(make_case, make_driver("d"))
    assert np.angle(flat) == pytest.approx(np.zeros(31), abs=1e-12)
    deep = 1j * omega * source_of(make_case, make_driver("d", acoustic_depth=0.02))
    assert deep / flat == pytest.approx(np.exp(-1j * omega * 0.02 / 343.0), rel=1e-12)
    turned = 1j * omega * source_of(make_case, make_driver("d", inverted=True))
    assert turned == pytest.approx(-flat, rel=1e-12)
