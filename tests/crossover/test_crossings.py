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


def told(*levels):
    """Strengths of drivers from their levels in dB."""
    return 10 ** (np.array(levels) / 20)


def test_two_frequencies_are_enough():
    """6 dB louder at the lower one, 6 dB weaker at the upper: equal in the middle of both."""
    (point,) = crossings(np.array([400.0, 900.0]), told([6.0, 0.0], [0.0, 6.0]))
    assert (point.lower, point.upper) == (0, 1)
    assert point.frequency == pytest.approx(600.0)
    # 3 dB ahead and 1 dB behind: three quarters of the way, in log frequency.
    (point,) = crossings(np.array([100.0, 1600.0]), told([3.0, 0.0], [0.0, 1.0]))
    assert point.frequency == pytest.approx(100.0 * 16**0.75)


def test_the_lead_is_taken_by_more_than_a_tenth_of_a_decibel():
    """0.097 dB are alike and 0.103 dB are not; of drivers alike the first leads."""
    at_rest = [0.0, 0.0, 0.0, 0.0]
    second = [0.097, 0.103, 0.097, -0.097]
    assert leaders(told(at_rest, second)).tolist() == [0, 1, 1, 1]
    assert leaders(told(at_rest, [-0.103] * 4, [-6.0] * 4)).tolist() == [0] * 4
    # Three that are alike, and the last of them ahead of all by enough.
    assert leaders(told([0.0, 0.0], [0.05, 0.05], [0.09, 0.2])).tolist() == [0, 2]


def test_the_first_of_those_that_beat_the_holder_takes_the_lead():
    """At the second frequency 1 and 2 are 0.15 and 0.2 dB ahead of 0: alike, and both ahead."""
    assert leaders(told([0.0, 0.0], [-1.0, 0.15], [-1.0, 0.2])).tolist() == [0, 1]
    # 0.05 and 0.12 dB: alike too, but only the second of them is ahead by enough.
    assert leaders(told([0.0, 0.0], [-1.0, 0.05], [-1.0, 0.12])).tolist() == [0, 2]


def test_one_driver_leads_everywhere():
    assert leaders(told([3.0, -60.0, 0.0])).tolist() == [0, 0, 0]
    assert crossings(np.array([1.0, 2.0, 3.0]), told([3.0, -60.0, 0.0])) == ()


def test_what_was_never_ahead_by_a_tenth_of_a_decibel_hands_nothing_over():
    frequency = np.array([100.0, 200.0, 400.0])
    assert crossings(frequency, told([0.097, 0.05, -20.0], [0.0, 0.0, 0.0])) == ()
    (point,) = crossings(frequency, told([0.103, 0.05, -20.0], [0.0, 0.0, 0.0]))
    assert 200.0 < point.frequency < 202.0


def test_three_ways_hand_over_twice_each_counted_from_where_its_lower_one_took_over():
    """Straight lines between octaves: crossings at a quarter and at half of them."""
    frequency = 100.0 * 2.0 ** np.arange(5)
    strength = told(
        [6.0, 3.0, -9.0, -30.0, -60.0],
        [0.0, 0.0, 0.0, 0.0, -12.0],
        [-60.0, -40.0, -20.0, -4.0, 0.0],
    )
    first, second = crossings(frequency, strength)
    assert (first.lower, first.upper, second.lower, second.upper) == (0, 1, 1, 2)
    assert first.frequency == pytest.approx(200.0 * 2**0.25)
    assert second.frequency == pytest.approx(800.0 * 2**0.25)


def test_silence_is_told_without_a_warning():
    assert leaders(np.array([[0.0, 0.0], [0.0, 1.0]])).tolist() == [0, 1]


def test_levels_that_stay_equal_for_a_while_cross_at_the_end_of_it():
    """3 dB ahead, twice equal, 3 dB behind: the last of the two frequencies."""
    frequency = np.array([100.0, 200.0, 400.0, 800.0])
    (point,) = crossings(frequency, told([3.0, 0.0, 0.0, -3.0], [0.0, 0.0, 0.0, 0.0]))
    assert point.frequency == pytest.approx(400.0)
