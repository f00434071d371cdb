from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from acoustics.conventions import Air
from acoustics.driver import SmallSignal, VoiceCoil, coil_impedance, related


def driver(air: Air, **given: float) -> SmallSignal:
    found = related(given, air)
    assert found.small_signal is not None
    assert not found.contradictions
    return found.small_signal


# Impedance in free air, Z = R_e + jωL_e + R_e (Q_ms/Q_es)(s/Q_ms)/(s² + s/Q_ms + 1), s = jf/f_s
# (Small, J. Audio Eng. Soc. 20, 1972, 383), worked for R_e 6 ohm, L_e 0.5 mH, f_s 40 Hz, Q_ms 4,
# Q_es 0.4.
@pytest.mark.parametrize(
    ("frequency", "expected"),
    [
        (40.0, 66 + 0.125663706j),
        (25.0, 9.70141888 + 14.5140734j),
        (1000.0, 6.00601864 + 2.5406914j),
    ],
)
@pytest.mark.parametrize("mass", [0.004, 0.020])
def test_impedance_in_free_air(frequency: float, expected: complex, mass: float) -> None:
    found = driver(
        Air(),
        dc_resistance=6.0,
        resonance=40.0,
        mechanical_q=4.0,
        electrical_q=0.4,
        moving_mass=mass,
        effective_area=0.01,
    )
    s = 2j * math.pi * frequency
    mechanical = s * found.moving_mass + found.mechanical_resistance + 1 / (s * found.compliance)
    coil = coil_impedance(VoiceCoil(inductance=0.5e-3), np.array([frequency]))[0]
    impedance = found.dc_resistance + coil + found.force_factor**2 / mechanical
    assert impedance == pytest.approx(expected, rel=1e-8)


# Efficiency and level at 1 m for 1 W into half space (Small 1972), worked in two kinds of air.
@pytest.mark.parametrize(
    ("air", "given", "efficiency", "level"),
    [
        (Air(345.0, 1.18), (30.0, 0.080, 0.35), 0.00593318866, 89.827494),
        (Air(343.0, 1.2), (45.0, 0.025, 0.40), 0.00557179251, 89.6023044),
    ],
)
def test_efficiency_and_sensitivity(
    air: Air, given: tuple[float, float, float], efficiency: float, level: float
) -> None:
    resonance, volume, electrical_q = given
    found = driver(
        air,
        resonance=resonance,
        equivalent_volume=volume,
        electrical_q=electrical_q,
        mechanical_q=5.0,
        dc_resistance=8.0,
        effective_area=0.02,
    )
    assert found.efficiency(air) == pytest.approx(efficiency, rel=1e-8)
    # 2.83 V into 8 ohm are 1.0011 W.
    assert found.sensitivity(air) == pytest.approx(level + 10 * math.log10(2.83**2 / 8), abs=1e-6)


# Closed boxes: f_c = f_s √(1 + α), Q_tc = Q_ts √(1 + α), α = V_as/V_b (Small, J. Audio Eng. Soc.
# 20, 1972, 798), worked in litres.
@pytest.mark.parametrize(
    ("resonance", "total_q", "volume", "box", "in_box", "q_in_box"),
    [
        (30.0, 0.35, 80e-3, 20e-3, 67.0820393, 0.782623792),
        (42.0, 0.40, 25e-3, 12e-3, 73.7495763, 0.702376917),
    ],
)
def test_a_closed_box_stiffens_the_suspension(
    resonance: float, total_q: float, volume: float, box: float, in_box: float, q_in_box: float
) -> None:
    air = Air()
    found = driver(
        air,
        resonance=resonance,
        total_q=total_q,
        mechanical_q=5.0,
        equivalent_volume=volume,
        dc_resistance=6.0,
        effective_area=0.02,
    )
    stiffness = air.density * air.speed_of_sound**2 * found.effective_area**2 / box
    boxed = replace(found, compliance=1 / (1 / found.compliance + stiffness))
    assert boxed.resonance == pytest.approx(in_box, rel=1e-8)
    assert boxed.total_q == pytest.approx(q_in_box, rel=1e-8)


def test_a_semi_inductance_rises_by_3_db_per_octave_at_45_degrees() -> None:
    # K·√(jω) (Vanderkooy, J. Audio Eng. Soc. 37, 1989, 119).
    low, high = coil_impedance(VoiceCoil(semi_inductance=0.02), np.array([1000.0, 2000.0]))
    assert abs(low) == pytest.approx(0.02 * math.sqrt(2000 * math.pi), rel=1e-12)
    assert 20 * math.log10(abs(high / low)) == pytest.approx(3.0103, abs=1e-4)
    assert np.angle(high, deg=True) == pytest.approx(45.0)


def test_the_parallel_circuit_is_one() -> None:
    # At ωL = R the two in parallel are R/(1 − j), by hand.
    coil = VoiceCoil(inductance=1e-3, parallel_inductance=2e-3, parallel_resistance=10.0)
    found = coil_impedance(coil, np.array([10.0 / (2 * math.pi * 2e-3)]))[0]
    assert found == pytest.approx(5j + 10 / (1 - 1j))
