"""The circuit against Small's closed forms, with the air load as it was measured.

Small, J. Audio Eng. Soc. 20 (1972) 383 and 798; 21 (1973) 363 and 635; 22 (1974) 592 (from memory).
Values in comments are closed forms recomputed, not read from the papers.
"""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.source import motion_of, total
from support.boxes import FS, boxed, parameters, port_for, vented


def response(case, frequency):
    """Acceleration of all that moves over its value far above everything: Small's G(s)."""
    top = 1e6
    f = np.array([*frequency, top])
    moved = total(motion_of(case, f))[0] * f
    return moved[:-1] / moved[-1] * 1.0


@pytest.mark.parametrize(
    ("corner", "q", "frequency", "expected"),
    [
        (50.0, np.sqrt(0.5), 25.0, -0.176470588 + 0.166378066j),
        (50.0, np.sqrt(0.5), 50.0, 0.707106781j),
        (50.0, 1.0, 60.0, 0.387855044 + 1.05778648j),
    ],
)
def test_a_closed_box_is_a_high_pass_of_second_order(corner, q, frequency, expected):
    """s²/(s² + s/Q + 1) at s = jf/f_c."""
    alpha = 3.0
    rise = np.sqrt(1 + alpha)
    case = boxed(parameters(corner / rise, q / rise, mechanical_q=1e9), alpha)
    assert response(case, [frequency])[0] == pytest.approx(expected, rel=1e-4, abs=1e-4)


@pytest.mark.parametrize(
    ("fs", "qts", "vas", "volume", "corner", "q"),
    [
        (30.0, 0.35, 0.080, 0.020, 67.0820393, 0.782623792),
        (42.0, 0.40, 0.025, 0.012, 73.7495763, 0.702376917),
    ],
)
def test_a_closed_box_raises_resonance_and_q(fs, qts, vas, volume, corner, q):
    """f_c = f_s √(1 + V_as/V_b); at f_c the level is Q_tc, the phase 90 degrees."""
    case = boxed(parameters(fs, qts, mechanical_q=1e9, equivalent_volume=vas), vas / volume)
    assert motion_of(case, np.array([100.0])).tuning["box"] == pytest.approx(corner, rel=1e-8)
    assert response(case, [corner])[0] == pytest.approx(1j * q, rel=1e-4, abs=1e-4)


def small_vented(s, h, alpha, q_total, q_leak=np.inf):
    """Small 1973, part I: G over s normalised to √(f_s f_b)."""
    leak = 0.0 if np.isinf(q_leak) else 1 / q_leak
    a1 = (1 / q_total + h * leak) / np.sqrt(h)
    a2 = (h * leak / q_total + alpha + 1 + h**2) / h
    a3 = (h / q_total + leak) / np.sqrt(h)
    return s**4 / (s**4 + a1 * s**3 + a2 * s**2 + a3 * s + 1)


@pytest.mark.parametrize(
    ("h", "alpha", "q_total", "q_leak", "over_fs", "expected"),
    [
        (1.0, np.sqrt(2), 0.382683432, np.inf, 0.5, 0.0130083492 - 0.061006831j),
        (1.0, np.sqrt(2), 0.382683432, np.inf, 1.0, -0.707106781 + 0j),
        (1.0, np.sqrt(2), 0.382683432, np.inf, 2.0, 0.208133588 + 0.976109297j),
        (1.2, 2.0, 0.35, 7.0, 0.7, -0.0402513917 - 0.107329748j),
        (1.2, 2.0, 0.35, 7.0, 1.0, -0.320046085 - 0.16159704j),
        (1.2, 2.0, 0.35, 7.0, 1.5, -0.655423967 + 0.541651023j),
    ],
)
def test_a_vented_box_is_a_high_pass_of_fourth_order(h, alpha, q_total, q_leak, over_fs, expected):
    case = vented(parameters(FS, q_total), alpha, h, q_leak)
    found = response(case, [over_fs * FS])[0]
    s = 1j * over_fs / np.sqrt(h)
    assert small_vented(s, h, alpha, q_total, q_leak) == pytest.approx(expected, rel=1e-6)
    assert found == pytest.approx(expected, rel=1e-3, abs=2e-5)


@pytest.mark.parametrize(
    ("fs", "fb", "alpha", "low", "high"),
    [
        (30.0, 30.0, np.sqrt(2), 17.0645873, 52.7408008),
        (40.0, 35.0, 2.0, 18.5761938, 75.3652773),
    ],
)
def test_a_vented_box_has_two_peaks_of_impedance_round_its_tuning(fs, fb, alpha, low, high):
    """Roots of f⁴ − f²[f_b² + (1+α)f_s²] + f_s² f_b² = 0 (Thiele 1971, Small 1973)."""
    case = vented(parameters(fs, 0.4, mechanical_q=1e4), alpha, fb / fs, np.inf)
    for peak in (low, high):
        near = np.linspace(0.98 * peak, 1.02 * peak, 4001)
        found = near[np.argmax(np.abs(motion_of(case, near).impedance[0]))]
        assert found == pytest.approx(peak, rel=2e-4)
    valley = np.linspace(0.9 * fb, 1.1 * fb, 4001)
    motion = motion_of(case, valley)
    assert valley[np.argmin(np.abs(motion.impedance[0]))] == pytest.approx(fb, rel=2e-3)
    # At the tuning nothing is left of the impedance but the voice coil's resistance.
    assert np.abs(motion.impedance[0]).min() == pytest.approx(6.0, rel=2e-3)
    assert valley[np.argmin(np.abs(motion.volume_velocity[0, 0]))] == pytest.approx(fb, rel=1e-3)


def test_two_ports_are_one_of_twice_the_area():
    signal = parameters(FS, 0.38)
    one = vented(signal, 1.5, 1.0, 7.0)
    two = vented(signal, 1.5, 1.0, 7.0, ports=2)
    f = np.geomspace(15, 300, 40)
    alone, both = motion_of(one, f), motion_of(two, f)
    np.testing.assert_allclose(total(both)[0], total(alone)[0], rtol=1e-9)
    np.testing.assert_allclose(both.volume_velocity[1:, 0].sum(axis=0), alone.volume_velocity[1, 0])


def test_a_passive_radiator_far_below_its_box_is_a_port():
    """With a suspension that hardly holds it, its mass is the port's (Small 1974)."""
    signal = parameters(FS, 0.38)
    port = vented(signal, 1.5, 1.1, 7.0)
    passive = vented(signal, 1.5, 1.1, 7.0, passive=True)
    f = np.geomspace(20, 300, 40)
    np.testing.assert_allclose(
        total(motion_of(passive, f))[0], total(motion_of(port, f))[0], rtol=1e-3
    )


def test_a_passive_radiator_makes_a_null_at_its_own_resonance():
    """There its suspension and mass alone let it move as the cone pushes (Small 1974)."""
    case = vented(parameters(FS, 0.38), 1.5, 1.1, 1e9, passive=True, passive_resonance=15.0)
    f = np.linspace(10.0, 20.0, 2001)
    level = np.abs(total(motion_of(case, f))[0])
    assert f[np.argmin(level / f)] == pytest.approx(15.0, abs=0.02)


def test_losses_at_the_tuning_act_as_their_q_has_it():
    """Absorption, leaks and the port lower the peak flow through the port by their 1/Q together.

    At the tuning, box and port alone: pressure over flow is 1/(ω_b C)·Q_B, 1/Q_B = 1/Q_L + 1/Q_A +
    1/Q_P for small losses (Small 1973).
    """
    signal = parameters(FS, 0.38, mechanical_q=1e9)
    f = np.array([FS])
    impedances = [
        motion_of(vented(signal, 1.5, 1.0, **losses), f).impedance[0, 0].real - 6.0
        for losses in (
            {"q_leak": 50.0},
            {"q_leak": np.inf, "absorption_q": 50.0},
            {"q_leak": np.inf, "port_q": 50.0},
        )
    ]
    assert impedances == pytest.approx([impedances[0]] * 3, rel=2e-2)
    together = vented(signal, 1.5, 1.0, q_leak=150.0, absorption_q=150.0, port_q=150.0)
    found = motion_of(together, f).impedance[0, 0].real - 6.0
    assert found == pytest.approx(impedances[0], rel=2e-2)


def test_the_port_for_a_tuning_is_tuned_there():
    case = vented(parameters(FS, 0.38), 1.5, 1.3, 7.0)
    assert motion_of(case, np.array([50.0])).tuning["box"] == pytest.approx(1.3 * FS)
    assert port_for(0.01, 50.0).length > 0
