"""The crossover tells who plays what and who hands over to whom."""

from __future__ import annotations

from dataclasses import replace

import pytest

from acoustics.case.design.model import Branch, PassFilter
from acoustics.studies.compatibility.ways import ways_of
from support.cases import make_case, make_driver, pass_branch


def band_pass(driver, low, high):
    return Branch(driver, (PassFilter("band-pass", "linkwitz-riley", 4, low, high),))


def big(name, y=-0.1, **changes):
    return make_driver(name, y, piston_diameter=0.13, frame_diameter=0.15, **changes)


WOOFER, TWEETER = big("woofer"), make_driver("tweeter", 0.1)


def pairs(case):
    return [(p.lower, p.upper, pytest.approx(p.frequency)) for p in ways_of(case).pairs]


def test_a_two_way_crosses_at_its_corners():
    ways = ways_of(make_case())
    assert [(p.lower, p.upper) for p in ways.pairs] == [(0, 1)]
    assert ways.pairs[0].frequency == pytest.approx(2500.0)
    assert (ways.lowest, ways.groups, ways.unknown) == ((0,), ((1,),), ())
    assert ways.bands[1].low_order == 4
    # Corners apart: halfway in log frequency, √(2 kHz · 3.125 kHz) = 2.5 kHz.
    apart = (
        pass_branch("woofer", "low-pass", 2000.0),
        pass_branch("tweeter", "high-pass", 3125.0, alignment="butterworth", order=3),
    )
    ways = ways_of(make_case((WOOFER, TWEETER), crossover=apart))
    assert ways.pairs[0].frequency == pytest.approx(2500.0)
    assert ways.bands[1].low_order == 3


def test_a_three_way_has_two_crossovers_in_whatever_order_drivers_stand():
    mid = make_driver("mid", 0.0, piston_diameter=0.08)
    crossover = (
        pass_branch("tweeter", "high-pass", 2800.0),
        band_pass("mid", 350.0, 2800.0),
        pass_branch("woofer", "low-pass", 350.0),
    )
    case = make_case((TWEETER, mid, WOOFER), crossover=crossover)
    assert pairs(case) == [(1, 0, 2800.0), (2, 1, 350.0)]
    ways = ways_of(case)
    assert (ways.lowest, ways.groups) == ((2,), ((0,), (1,)))


def test_of_two_woofers_the_one_that_ends_low_hands_nothing_over():
    crossover = (
        pass_branch("helper", "low-pass", 300.0),
        pass_branch("woofer", "low-pass", 2500.0),
        pass_branch("tweeter", "high-pass", 2500.0),
    )
    case = make_case((big("helper", -0.15), big("woofer", 0.0), TWEETER), crossover=crossover)
    assert pairs(case) == [(1, 2, 2500.0)]
    assert ways_of(case).lowest == (0, 1)


def test_two_woofers_alike_both_hand_over():
    crossover = (
        pass_branch("upper", "low-pass", 2500.0),
        pass_branch("lower", "low-pass", 2500.0),
        pass_branch("tweeter", "high-pass", 2500.0),
    )
    case = make_case(
        (big("upper", 0.12), big("lower"), make_driver("tweeter")), crossover=crossover
    )
    assert pairs(case) == [(0, 2, 2500.0), (1, 2, 2500.0)]


def test_two_midranges_alike_are_one_group():
    mids = [make_driver(name, y, piston_diameter=0.08) for name, y in (("a", 0.0), ("b", 0.05))]
    crossover = (
        pass_branch("woofer", "low-pass", 350.0),
        pass_branch("a", "high-pass", 350.0),
        pass_branch("b", "high-pass", 350.0),
    )
    case = make_case((WOOFER, *mids), crossover=crossover)
    assert ways_of(case).groups == ((1, 2),)


def test_a_woofer_without_low_pass_crosses_where_the_tweeter_begins():
    case = make_case((WOOFER, TWEETER), crossover=(pass_branch("tweeter", "high-pass", 3000.0),))
    assert pairs(case) == [(0, 1, 3000.0)]


def test_a_high_pass_against_subsonic_sound_is_no_crossover():
    woofer = band_pass("woofer", 30.0, 2500.0)
    crossover = (woofer, pass_branch("tweeter", "high-pass", 2500.0))
    case = make_case((WOOFER, TWEETER), crossover=crossover)
    assert pairs(case) == [(0, 1, 2500.0)]
    assert ways_of(case).lowest == (0,)


@pytest.mark.parametrize(
    "crossover",
    [
        (),
        (pass_branch("woofer", "low-pass", 2500.0),),
        # A hole of three octaves is no crossover either.
        (pass_branch("woofer", "low-pass", 500.0), pass_branch("tweeter", "high-pass", 4000.0)),
    ],
)
def test_what_a_small_driver_plays_without_its_crossover_is_not_known(crossover):
    ways = ways_of(make_case((WOOFER, TWEETER), crossover=crossover))
    assert (ways.pairs, ways.lowest, ways.unknown) == ((), (0,), (1,))


def test_one_driver_is_the_lowest():
    ways = ways_of(make_case((WOOFER,)))
    assert (ways.pairs, ways.lowest, ways.groups, ways.unknown) == ((), (0,), (), ())


def test_shelves_and_peaks_make_no_band(make_case):
    case = make_case()
    bare = replace(case, crossover=tuple(replace(b, gain=-3.0) for b in case.crossover))
    assert ways_of(bare) == ways_of(case)
