"""Where one driver hands over to the next."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.case.design.model import Branch, FrequencyGrid
from acoustics.crossover import branch_response, branches_of, crossings, leaders
from acoustics.source import drive_of

FREQUENCY = FrequencyGrid().values()


def strength_of(case):
    source = drive_of(case, FREQUENCY).source
    filters = [branch_response(branch, FREQUENCY) for branch in branches_of(case)]
    return np.abs(np.array(filters) * source)


def case_crossings(case):
    """`(lower, upper, frequency)` of every crossover of a design."""
    found = crossings(FREQUENCY, strength_of(case))
    return [(point.lower, point.upper, point.frequency) for point in found]


def test_linkwitz_riley_branches_of_equal_drivers_cross_at_the_corner(make_case):
    assert case_crossings(make_case()) == [(0, 1, pytest.approx(2500.0, rel=1e-6))]


def test_straight_slopes_cross_where_their_lines_do():
    # 6 dB/octave down against 12 dB/octave up, equal at 730 Hz: straight in log-log, so exact.
    strength = np.array([(FREQUENCY / 730.0) ** -1, (FREQUENCY / 730.0) ** 2])
    (point,) = crossings(FREQUENCY, strength)
    assert point.frequency == pytest.approx(730.0, rel=1e-12)


def test_a_slow_handover_is_where_the_levels_are_equal_not_where_the_lead_is_taken():
    # 0.1 dB/octave: the levels meet at 730 Hz, the margin is reached an octave above.
    slope = 10 ** (0.05 / 20 * np.log2(FREQUENCY / 730.0))
    (point,) = crossings(FREQUENCY, np.array([1 / slope, slope]))
    assert point.frequency == pytest.approx(730.0, rel=1e-9)


def test_a_louder_tweeter_crosses_lower(make_case, make_driver, pass_branch):
    drivers = [make_driver("woofer"), make_driver("tweeter", 0.1, sensitivity=94.0)]
    branches = (
        pass_branch("woofer", "low-pass", 2500.0),
        pass_branch("tweeter", "high-pass", 2500.0),
    )
    # |LP|/|HP| of any Butterworth or Linkwitz–Riley pair of order n is (fc/f)^n.
    lower = pytest.approx(2500.0 * 10 ** (-6 / 20 / 4), rel=1e-5)
    assert case_crossings(make_case(drivers, crossover=branches)) == [(0, 1, lower)]


@pytest.mark.parametrize(
    ("depth", "delay", "louder"),
    [(0.0, 0.0, 0.0), (0.0371, 0.0, 0.0), (0.0, 0.317e-3, 0.0), (0.0, 0.0, 0.05)],
    ids=["alike", "deeper", "delayed", "a twentieth of a decibel louder"],
)
def test_twin_woofers_do_not_cross(make_case, make_driver, pass_branch, depth, delay, louder):
    mid_high = pass_branch("mid", "high-pass", 300.0).sections
    mid_low = pass_branch("mid", "low-pass", 3000.0).sections
    case = make_case(
        [
            make_driver("woofer"),
            make_driver("twin", 0.05, acoustic_depth=depth, sensitivity=88.0 + louder),
            make_driver("mid", 0.10),
            make_driver("tweeter", 0.15),
        ],
        crossover=(
            pass_branch("woofer", "low-pass", 300.0),
            pass_branch("twin", "low-pass", 300.0, delay=delay),
            Branch("mid", sections=(*mid_high, *mid_low)),
            pass_branch("tweeter", "high-pass", 3000.0),
        ),
    )
    low, high = case_crossings(case)
    assert low == (0, 2, pytest.approx(300.0, rel=1e-3))
    assert high == (2, 3, pytest.approx(3000.0, rel=1e-3))


@pytest.mark.parametrize("order", [("helper", "woofer"), ("woofer", "helper")])
def test_a_two_and_a_half_way_has_one_crossover(make_case, make_driver, pass_branch, order):
    # The helper plays with the woofer below 150 Hz and hands nothing over: the woofer plays on.
    names = (*order, "tweeter")
    case = make_case(
        [make_driver(name, 0.05 * i, acoustic_depth=0.013 * i) for i, name in enumerate(names)],
        crossover=(
            pass_branch("helper", "low-pass", 150.0, order=8),
            pass_branch("woofer", "low-pass", 2500.0),
            pass_branch("tweeter", "high-pass", 2500.0),
        ),
    )
    woofer = names.index("woofer")
    assert case_crossings(case) == [(woofer, 2, pytest.approx(2500.0, rel=1e-6))]


def test_the_lead_does_not_flicker_between_twins(make_case, make_driver):
    drivers = [make_driver("one", acoustic_depth=0.0371), make_driver("two", 0.05)]
    assert not leaders(strength_of(make_case(drivers))).any()


def test_drivers_without_a_crossover_have_none(make_case):
    assert case_crossings(make_case(crossover=(), drivers=make_case().drivers)) == []
