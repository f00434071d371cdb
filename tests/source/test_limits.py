"""Voltages that a driver stands, against worked values."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.enclosure_model import Amplifier
from acoustics.conventions import DRIVE_VOLTAGE
from acoustics.source import (
    LIMITS,
    PORT_SPEED,
    air_speed,
    displacement,
    input_limits,
    motion_of,
    total,
)
from support.boxes import AIR, AREA, FS, boxed, parameters, vented


def limit(case, name, frequency):
    f = np.atleast_1d(np.asarray(frequency, dtype=float))
    return input_limits(case, motion_of(case, f), f)[LIMITS.index(name), 0]


def level(case, frequency, voltage):
    """At 1 m in a half space: p = ωρQ/2π."""
    moved = np.abs(total(motion_of(case, np.array([frequency])))[0, 0]) * voltage
    return 20 * np.log10(frequency * AIR.density * moved / 20e-6)


def driver_with(case, **changes):
    return replace(case, drivers=(replace(case.drivers[0], **changes),))


@pytest.mark.parametrize(
    ("frequency", "expected", "volume"), [(30.0, 100.0, 416.813109e-6), (40.0, 96.0, 147.932602e-6)]
)
def test_volume_displaced_for_a_level(frequency, expected, volume):
    """p = ρω²V/(2πr), V peak over √2: a simple source in a half space (Small 1972, from memory)."""
    case = driver_with(boxed(parameters(FS, 0.5), 1.0), most_displacement=volume / AREA)
    voltage = limit(case, "displacement", frequency)[0]
    assert level(case, frequency, voltage) == pytest.approx(expected, abs=1e-3)


def test_level_far_above_resonance_is_the_reference_sensitivity():
    """η₀ = 4π²f_s³V_as/(c³Q_es): 89.6023 dB for 1 W at f_s 45 Hz, V_as 25 l, Q_es 0.4, ρ 1.2, c 343
    (Small 1972, recomputed); for 2.83 V into 6 ohm 10 lg(8.01/6) more."""
    signal = parameters(45.0, 1 / (1 / 0.4 + 1 / 4.0), equivalent_volume=0.025)
    case = boxed(signal)
    assert signal.electrical_q == pytest.approx(0.4)
    expected = 89.6023044 + 10 * np.log10(DRIVE_VOLTAGE**2 / 6.0)
    assert signal.sensitivity(AIR) == pytest.approx(expected, abs=1e-4)
    assert level(case, 1e5, DRIVE_VOLTAGE) == pytest.approx(expected, abs=1e-3)


def test_power_is_that_in_the_rated_impedance():
    """IEC 60268-5 (from memory): 50 W into 8 ohm are 20 V."""
    case = driver_with(boxed(parameters(FS, 0.5)), power=50.0, rated_impedance=8.0)
    assert limit(case, "power", 100.0) == pytest.approx([20.0])
    case = driver_with(case, rated_impedance=None)
    assert limit(case, "power", 100.0) == pytest.approx([np.sqrt(50.0 * 6.0)])


def test_power_counts_at_the_terminals_not_at_the_amplifier():
    """A voltage divider: 2 ohm before the driver's own impedance."""
    case = driver_with(boxed(parameters(FS, 0.5)), power=50.0, rated_impedance=8.0)
    case = replace(case, amplifier=Amplifier(resistance=2.0))
    f = np.array([FS, 1e5])
    terminals = limit(case, "power", f) * np.abs(
        motion_of(case, f).impedance[0] / (2.0 + motion_of(case, f).impedance[0])
    )
    np.testing.assert_allclose(terminals, 20.0, rtol=1e-12)
    # Far above resonance nothing is left of a coil without inductance but its 6 ohm.
    assert limit(case, "power", 1e5)[0] == pytest.approx(20.0 * 8.0 / 6.0, rel=1e-5)


def test_port_speed_is_peak_flow_over_area():
    case = vented(parameters(FS, 0.38), 1.5, 1.0, 7.0)
    f = np.array([FS])
    motion = motion_of(case, f)
    flow = np.abs(motion.volume_velocity[1, 0, 0])
    assert air_speed(motion, 1, 0)[0] == pytest.approx(np.sqrt(2) * flow / 0.002)
    assert limit(case, "port speed", FS)[0] == pytest.approx(
        PORT_SPEED / (np.sqrt(2) * flow / 0.002)
    )


def test_of_several_ports_the_fastest_counts():
    case = vented(parameters(FS, 0.38), 1.5, 1.0, 7.0, ports=2)
    longer = replace(case.enclosures[0].ports[0], length=0.5)
    box = replace(case.enclosures[0], ports=(longer, case.enclosures[0].ports[1]))
    uneven = replace(case, enclosures=(box,))
    f = np.array([50.0])
    motion = motion_of(uneven, f)
    fastest = max(air_speed(motion, row, 0)[0] for row in (1, 2))
    assert limit(uneven, "port speed", 50.0)[0] == pytest.approx(PORT_SPEED / fastest)


def test_a_passive_radiator_has_a_limit_of_its_own():
    case = vented(parameters(FS, 0.38), 1.5, 1.0, 7.0, passive=True)
    assert np.isnan(limit(case, "passive radiator", 40.0)).all()
    box = case.enclosures[0]
    cone = replace(box.passive_radiators[0], most_displacement=0.008)
    case = replace(case, enclosures=(replace(box, passive_radiators=(cone,)),))
    f = np.array([40.0])
    moved = displacement(motion_of(case, f), 1, 0, f)
    assert limit(case, "passive radiator", 40.0) == pytest.approx(0.008 / moved)


def test_what_is_not_stated_is_missing_and_what_is_not_there_is_no_limit():
    case = boxed(parameters(FS, 0.5), 1.0)
    assert np.isnan(limit(case, "displacement", 100.0)).all()
    assert np.isnan(limit(case, "power", 100.0)).all()
    assert np.isnan(limit(case, "amplifier", 100.0)).all()
    assert np.isinf(limit(case, "port speed", 100.0)).all()
    assert np.isinf(limit(case, "passive radiator", 100.0)).all()
    driven = replace(case, amplifier=Amplifier(power=60.0, into=8.0))
    assert limit(driven, "amplifier", 100.0) == pytest.approx([np.sqrt(480.0)])
