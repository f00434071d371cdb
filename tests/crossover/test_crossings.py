"""Where one driver hands over to the next."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.crossover import case_crossings, crossings

FREQUENCY = 1000.0 * 2.0 ** (np.arange(-120, 104) / 24)


def test_linkwitz_riley_branches_of_equal_drivers_cross_at_the_corner(make_case):
    (point,) = case_crossings(make_case(), FREQUENCY)
    assert point.frequency == pytest.approx(2500.0, rel=1e-6)
    assert (point.lower, point.upper) == (0, 1)


def test_straight_slopes_cross_where_their_lines_do():
    # 6 dB/octave down against 12 dB/octave up, equal at 730 Hz: straight in log-log, so exact.
    strength = np.array([(FREQUENCY / 730.0) ** -1, (FREQUENCY / 730.0) ** 2])
    (point,) = crossings(FREQUENCY, strength)
    assert point.frequency == pytest.approx(730.0, rel=1e-12)


def test_a_louder_tweeter_crosses_lower(make_case, make_driver, pass_branch):
    drivers = [make_driver("woofer"), make_driver("tweeter", 0.1, sensitivity=94.0)]
    branches = (
        pass_branch("woofer", "low-pass", 2500.0),
        pass_branch("tweeter", "high-pass", 2500.0),
    )
    (point,) = case_crossings(make_case(drivers, crossover=branches), FREQUENCY)
    # |LP|/|HP| of any Butterworth or Linkwitz–Riley pair of order n is (fc/f)^n.
    assert point.frequency == pytest.approx(2500.0 * 10 ** (-6 / 20 / 4), rel=1e-5)


def test_three_ways_cross_twice_and_twin_woofers_do_not_cross(make_case, make_driver, pass_branch):
    names = ("woofer", "twin", "mid", "tweeter")
    mid_high = pass_branch("mid", "high-pass", 300.0).sections
    mid_low = pass_branch("mid", "low-pass", 3000.0).sections
    mid = pass_branch("mid", "low-pass", 3000.0)
    case = make_case(
        [make_driver(name, 0.05 * i) for i, name in enumerate(names)],
        crossover=(
            pass_branch("woofer", "low-pass", 300.0),
            pass_branch("twin", "low-pass", 300.0),
            type(mid)("mid", sections=(*mid_high, *mid_low)),
            pass_branch("tweeter", "high-pass", 3000.0),
        ),
    )
    points = case_crossings(case, FREQUENCY)
    assert [(point.lower, point.upper) for point in points] == [(0, 2), (2, 3)]
    assert [point.frequency for point in points] == pytest.approx([300.0, 3000.0], rel=1e-3)


def test_drivers_without_a_crossover_have_none(make_case):
    assert case_crossings(make_case(crossover=(), drivers=make_case().drivers), FREQUENCY) == ()
