"""End corrections, Helmholtz tuning, port lengths and passive radiators."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import ive, kve

from acoustics.cabinet.ports import (
    END_CORRECTIONS,
    TuningError,
    added_mass,
    air_volume,
    effective_length,
    port_length,
    port_tuning,
    radiator_tuning,
)


def area(diameter: float) -> float:
    return math.pi / 4 * diameter**2


def test_a_flush_end_has_the_correction_of_a_pipe_in_a_wall():
    # Nomura, Yamamura & Inawashiro (1960): 0.8217; Norris & Sheng (1989): 0.8216; a Galerkin
    # solution with the singular edge converges to 0.821674 (tolerance 2e-5).
    assert END_CORRECTIONS["flush"] == pytest.approx(0.821674247, abs=2e-5)
    # A piston of even velocity is the upper bound: 8/(3π), Rayleigh.
    assert END_CORRECTIONS["flush"] < 8 / (3 * math.pi)


def test_a_free_end_has_the_correction_of_levine_and_schwinger():
    # (1/π)∫₀^∞ ln[1/(2 I₁(x) K₁(x))]/x² dx, Levine & Schwinger (1948); e^∓x of I and K cancel.
    def integrand(x: float) -> float:
        return -math.log(2 * ive(1, x) * kve(1, x)) / x**2

    whole = sum(quad(integrand, *ends, limit=200)[0] for ends in ((0, 1), (1, 50), (50, np.inf)))
    assert END_CORRECTIONS["free"] == pytest.approx(whole / math.pi, abs=2e-5)


def test_two_ends_add_up():
    # of a round duct of radius 1 m without a length
    ends = ("flush", "free")
    assert effective_length(0.0, math.pi, ends) == pytest.approx(1.43437528, abs=2e-5)


@pytest.mark.parametrize(
    ("litres", "diameter", "length", "expected"),
    [
        # c/2π·√(S/(V·l)), c = 343 m/s, 0.82167 + 0.61270 radii (Helmholtz; ends as above)
        (50, 0.1, 0.15, 45.9486722),
        (20, 0.05, 0.12, 43.3259131),
    ],
)
def test_one_port_is_a_helmholtz_resonator(litres, diameter, length, expected):
    air = effective_length(length, area(diameter), ("flush", "free"))
    assert port_tuning(litres / 1e3, [area(diameter)], [air], 343.0) == pytest.approx(
        expected, abs=0.01
    )


def test_without_ends_only_the_duct_counts():
    # V = 20 l, 50 mm by 120 mm, no end correction: 49.3768722 Hz
    assert port_tuning(0.02, [area(0.05)], [0.12], 343.0) == pytest.approx(49.3768722, abs=1e-4)


def test_two_ports_are_one_of_twice_the_area():
    one = port_tuning(0.02, [0.004], [0.2], 343.0)
    two = port_tuning(0.02, [0.002, 0.002], [0.2, 0.2], 343.0)
    assert two == pytest.approx(one, rel=1e-12)


@pytest.mark.parametrize(
    ("litres", "diameter", "frequency", "expected"),
    # l = c²S/(4π²f²V) - 1.4344a, c = 343 m/s
    [(50, 0.1, 32, 0.385420394), (28, 0.066, 42, 0.159084603)],
)
def test_length_for_a_tuning(litres, diameter, frequency, expected):
    extra = effective_length(0.0, area(diameter), ("flush", "free"))
    length = port_length(frequency, litres / 1e3, [area(diameter)], [extra], 343.0)
    assert length == pytest.approx(expected, abs=1e-4)


def test_a_duct_that_takes_volume_is_as_long_as_its_box_then_needs():
    extra, wall = 0.03, 0.018
    length = port_length(40.0, 0.02, [0.003], [extra], 343.0, taken=0.004, shortest=wall)
    volume = 0.02 - 0.004 * (length - wall)
    assert port_tuning(volume, [0.003], [length + extra], 343.0) == pytest.approx(40.0, rel=1e-6)
    assert length > port_length(40.0, 0.02, [0.003], [extra], 343.0)


def test_a_further_port_makes_the_others_longer():
    length = port_length(40.0, 0.02, [0.002], [0.03], 343.0, conductivity=0.002 / 0.3)
    tuned = port_tuning(0.02, [0.002, 0.002], [length + 0.03, 0.3], 343.0)
    assert tuned == pytest.approx(40.0, rel=1e-6)


def test_the_highest_tuning_is_that_of_a_hole_in_the_wall():
    with pytest.raises(TuningError) as caught:
        port_length(200.0, 0.02, [0.002], [0.03], 343.0, shortest=0.018)
    assert caught.value.highest
    expected = port_tuning(0.02, [0.002], [0.048], 343.0)
    assert caught.value.limit == pytest.approx(expected, rel=1e-12)


def test_the_lowest_tuning_is_that_of_a_duct_that_takes_half_the_box():
    # (l + e)(V - A·l) is largest at l = (V - A·e)/2A.
    volume, taken, extra = 0.01, 0.02, 0.05
    with pytest.raises(TuningError) as caught:
        port_length(20.0, volume, [0.018], [extra], 343.0, taken=taken)
    assert not caught.value.highest
    length = (volume - taken * extra) / (2 * taken)
    expected = port_tuning(volume - taken * length, [0.018], [length + extra], 343.0)
    assert caught.value.limit == pytest.approx(expected, rel=1e-4)


def test_fill_adds_up_to_a_quarter():
    # common practice, no source
    assert air_volume(0.02, 0.0) == 0.02
    assert air_volume(0.02, 1.0) == pytest.approx(0.025)


STIFFNESS = 1.2 * 343.0**2 / 0.02
AREAS, COMPLIANCES, MASSES = [0.02, 0.012], [1.1e-3, 0.8e-3], [0.045, 0.03]


def highest_mode(masses: list[float]) -> float:
    """By the eigenvalues of M⁻¹K, K = diag(1/C) + κSSᵀ: a general-purpose check."""
    stiffness = np.diag(1 / np.array(COMPLIANCES)) + STIFFNESS * np.outer(AREAS, AREAS)
    eigenvalues = np.linalg.eigvals(np.diag(1 / np.array(masses)) @ stiffness).real
    return float(np.sqrt(eigenvalues.max())) / (2 * math.pi)


def test_one_passive_radiator_swings_on_its_suspension_and_the_air():
    # ω² = (1/C + S²ρc²/V)/M, Small (1974), from memory
    expected = math.sqrt((1 / 1.1e-3 + 0.02**2 * STIFFNESS) / 0.045) / (2 * math.pi)
    assert radiator_tuning(STIFFNESS, [0.02], [1.1e-3], [0.045]) == pytest.approx(expected)


def test_different_ones_share_a_mode():
    assert radiator_tuning(STIFFNESS, AREAS, COMPLIANCES, MASSES) == pytest.approx(
        highest_mode(MASSES), rel=1e-9
    )


def test_added_mass_tunes_them():
    mass = added_mass(30.0, STIFFNESS, AREAS, COMPLIANCES, MASSES)
    assert mass > 0
    assert highest_mode([each + mass for each in MASSES]) == pytest.approx(30.0, rel=1e-9)


def test_no_added_mass_tunes_higher():
    with pytest.raises(TuningError) as caught:
        added_mass(90.0, STIFFNESS, AREAS, COMPLIANCES, MASSES)
    assert caught.value.limit == pytest.approx(highest_mode(MASSES), rel=1e-9)
