"""Acoustic slopes: what a driver's sound is to follow, and the filter it takes."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.case.design.model import Branch
from acoustics.crossover import (
    branch_response,
    full_pressure,
    needed_filter,
    target_pressure,
)
from acoustics.crossover.acoustic import full_with_low_end, heard_low_end

FREQUENCY = np.geomspace(50.0, 20_000.0, 61)


def test_the_target_is_the_slope_at_the_level_asked_for(pass_branch):
    branch = pass_branch("w", "low-pass", 2000.0, slopes="acoustic", level=84.0)
    target = target_pressure(branch, FREQUENCY, distance=2.0, speed_of_sound=343.0)
    slope = branch_response(pass_branch("w", "low-pass", 2000.0), FREQUENCY)
    levels = 20 * np.log10(np.abs(target) / 20e-6)
    assert levels == pytest.approx(84.0 - 20 * np.log10(2.0) + 20 * np.log10(np.abs(slope)))
    way = np.exp(2j * np.pi * FREQUENCY * 2.0 / 343.0)
    assert np.angle(target * way / slope) == pytest.approx(0.0, abs=1e-9)


def test_delay_polarity_and_latency_turn_the_target():
    plain = Branch("w", slopes="acoustic", level=80.0)
    turned = Branch("w", slopes="acoustic", level=80.0, delay=0.2e-3, inverted=True)
    given = {"distance": 1.0, "speed_of_sound": 343.0}
    ratio = target_pressure(turned, FREQUENCY, latency=0.1e-3, **given) / target_pressure(
        plain, FREQUENCY, **given
    )
    assert ratio == pytest.approx(-np.exp(-2j * np.pi * FREQUENCY * 0.3e-3))


def test_filter_times_driver_is_the_target_where_the_gain_suffices():
    rng = np.random.default_rng(4)
    unfiltered = rng.uniform(1.0, 3.0, 61) * np.exp(2j * np.pi * rng.uniform(size=61))
    target = 0.9 * np.exp(2j * np.pi * rng.uniform(size=61))
    answer = needed_filter(target, unfiltered, 0.0, 0.9)
    assert answer * unfiltered == pytest.approx(target)


def test_the_gain_is_held_at_its_limit_and_the_phase_kept():
    unfiltered = np.array([1.0, 0.1j, 0.0])
    answer = needed_filter(np.array([1.0, 1.0, 1.0 + 0j]), unfiltered, 6.0, 1.0)
    assert np.abs(answer) == pytest.approx([1.0, 10 ** (6 / 20), 10 ** (6 / 20)])
    assert answer[1] == pytest.approx(-1j * 10 ** (6 / 20))
    assert np.isfinite(answer).all()


def test_the_limit_falls_with_the_slopes():
    # A null of the driver where the target is 40 dB down: the filter stays 34 dB down.
    answer = needed_filter(np.array([0.01 + 0j]), np.array([1e-6]), 6.0, 1.0)
    assert 20 * np.log10(abs(answer[0])) == pytest.approx(-34.0)


def test_the_low_end_is_the_boxs_unless_the_slopes_say_how_it_falls(pass_branch):
    """A woofer in a closed box falls by 12 dB/octave (Small, J. Audio Eng. Soc. 20, 1972, 798)."""
    s = 1j * FREQUENCY / 70.0
    box = s**2 / (s**2 + s / 0.7 + 1)
    given = {"distance": 1.0, "speed_of_sound": 343.0}
    for kind, corner, followed in (("low-pass", 2000.0, box), ("high-pass", 200.0, 1.0)):
        branch = pass_branch("w", kind, corner, slopes="acoustic", level=84.0)
        plain = target_pressure(branch, FREQUENCY, **given)
        target = target_pressure(branch, FREQUENCY, low_end=box, **given)
        assert target == pytest.approx(plain * followed, rel=1e-12)


def test_a_target_above_its_full_pressure_asks_for_no_more_gain():
    """A boost of 6 dB in the target: the filter's limit stays where it is without."""
    answer = needed_filter(np.array([2.0 + 0j]), np.array([0.1]), 6.0, 1.0)
    assert abs(answer[0]) == pytest.approx(10 ** (6 / 20))


def test_a_limit_that_differs_with_frequency():
    """6 dB about the full pressure of each frequency: 0.5 of 1, and 0.5 of 0.5."""
    answer = needed_filter(np.array([0.5, 0.5 + 0j]), np.zeros(2), 6.0, np.array([1.0, 0.5]))
    assert np.abs(answer) == pytest.approx(10 ** (6 / 20) * np.array([0.5, 1.0]))


def test_no_target_needs_no_filter():
    answer = needed_filter(np.array([0.0 + 0j, 0.0]), np.array([1.0, 0.0]), 6.0, 1.0)
    assert answer.tolist() == [0.0, 0.0]


def test_the_low_end_is_heard_with_the_port_where_that_is():
    """Cone and port together over the cone alone; where the cone is silent, as it stands."""
    low_end = np.array([0.5, 1.0, 2.0 + 0j])
    on_axis, cone = np.array([3.0, 2.0 + 2j, 5.0]), np.array([2.0, 1.0 + 1j, 0.0])
    assert heard_low_end(low_end, on_axis, cone) == pytest.approx([0.75, 2.0, 2.0])
    # A field of next to nothing is one.
    assert heard_low_end(np.ones(1), np.array([3e-9]), np.array([1e-9])) == pytest.approx([3.0])
    assert heard_low_end(np.ones(1), np.array([3.0]), np.array([1.0])) == pytest.approx([3.0])


def test_full_pressure_falls_with_the_distance_and_with_the_low_end():
    """84 dB re 20 µPa at 1 m are 0.317 Pa, at 2 m half of it; a resonant box adds nothing."""
    branch = Branch("w", slopes="acoustic", level=84.0)
    assert full_pressure(branch, 1.0) == pytest.approx(20e-6 * 10**4.2)
    low_end = np.array([0.1j, 1.0, 1.3])
    found = full_with_low_end(branch, 2.0, low_end)
    assert found == pytest.approx(10e-6 * 10**4.2 * np.array([0.1, 1.0, 1.0]))
