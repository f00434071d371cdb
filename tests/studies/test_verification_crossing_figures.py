"""Figures of a crossover from both its sides: Linkwitz–Riley slopes, whose figures are known.

Linkwitz, J. Audio Eng. Soc. 24, 1976, 2: of fourth order both sides are in phase at every frequency
and 6.02 dB down where they are equally loud; reversed they cancel there.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics.studies.verification.crossings.figures import (
    handover,
    handover_by_size,
    phase_by_sums,
    sum_against,
)
from acoustics.studies.verification.crossings.sides import Sides

CORNER = 2000.0
FREQUENCY = CORNER * 2.0 ** (np.arange(-240, 161) / 48)


def sides(frequency=FREQUENCY, corner=CORNER):
    s = 1j * frequency / corner
    below = (s**2 + np.sqrt(2) * s + 1) ** 2
    return Sides(frequency, 1 / below, s**4 / below, 0.1, (0, 1))


WANTED = sides()


def test_a_crossover_as_designed():
    found = handover(WANTED, CORNER, WANTED)
    assert found.crossing == pytest.approx(CORNER)
    assert found.phase == pytest.approx(0.0, abs=1e-6)
    # 6 dB below the mean of one to two octaves away, 20 lg(1 + x⁴) down there; mirrored above.
    away = 2.0 ** -np.linspace(1.0, 2.0, 1001)
    down = 6.0 + np.mean(20 * np.log10(1 + away**4))
    x = (10 ** (down / 20) - 1) ** 0.25
    assert found.lower_corner == pytest.approx(CORNER * x, rel=2e-3)
    assert found.upper_corner == pytest.approx(CORNER / x, rel=2e-3)
    assert (found.lower_level, found.upper_level) == pytest.approx((0.0, 0.0))
    assert found.late == pytest.approx(0.0, abs=1e-9)
    assert found.null == pytest.approx(CORNER, rel=0.02)
    assert found.depth > 40


@pytest.mark.parametrize("late", [2e-5, -3e-5])
@pytest.mark.parametrize("sign", [1, -1])
def test_a_delay_is_found_whatever_the_polarity(late, sign):
    turned = sign * WANTED.upper * np.exp(-2j * np.pi * FREQUENCY * late)
    found = handover(replace(WANTED, upper=turned), CORNER, WANTED)
    assert found.late == pytest.approx(late, rel=1e-6)
    # −360°·f·τ at 2 kHz, and half a turn more where a side is reversed.
    angle = -360 * CORNER * late
    assert np.exp(1j * np.radians(found.phase)) == pytest.approx(
        sign * np.exp(1j * np.radians(angle)), abs=1e-6
    )
    assert found.phase_size == abs(found.phase)


def test_a_louder_side_moves_the_crossing_and_says_so():
    """|upper/lower| = x⁴: 3 dB more of it and they are equal 3/4 dB lower on a line of f."""
    louder = replace(WANTED, upper=WANTED.upper * 10 ** (3 / 20))
    found = handover_by_size(louder, CORNER, WANTED)
    assert found.crossing == pytest.approx(CORNER * 10 ** (-3 / 80), rel=1e-6)
    assert (found.lower_level, found.upper_level) == pytest.approx((0.0, 3.0))
    assert np.isnan(found.phase)
    # Its corner is told from its own pass band.
    plain = handover_by_size(WANTED, CORNER, WANTED)
    assert found.upper_corner == pytest.approx(plain.upper_corner)


def test_what_was_not_read_is_not_known():
    one = sides(np.array([CORNER]))
    for told in (handover(one, CORNER, one), handover_by_size(one, CORNER, one)):
        assert all(np.isnan(value) for value in vars(told).values())
    # Only the lower side's pass band: nothing crosses, and the upper side has no level.
    low = sides(FREQUENCY[FREQUENCY < CORNER / 2])
    found = handover_by_size(low, CORNER, low)
    assert np.isnan([found.crossing, found.upper_level, found.upper_corner]).all()
    assert found.lower_level == pytest.approx(0.0)
    assert np.isnan(found.lower_corner)


def test_two_sums_tell_the_phase_and_the_null():
    """|a − b|/|a + b| = tan(φ/2) of equal sides: a delay of 40 µs at 2 kHz is 28.8°."""
    upper = WANTED.upper * np.exp(-2j * np.pi * FREQUENCY * 4e-5)
    built, flipped = np.abs(WANTED.lower + upper), np.abs(WANTED.lower - upper)
    found = phase_by_sums(FREQUENCY, built, flipped, CORNER, WANTED)
    assert found.phase_size == pytest.approx(360 * 4e-5 * CORNER, rel=1e-6)
    # 2/(1 − cos φ): how far the reversed sum lies below both in phase, at 28.8° 12.1 dB.
    below = 10 * np.log10(2 / (1 - np.cos(np.radians(28.8))))
    assert found.depth == pytest.approx(below, abs=0.5)
    assert found.null == pytest.approx(CORNER, rel=0.3)


@pytest.mark.parametrize("told", ["phase_by_sums", "sum_against"])
def test_sides_that_do_not_overlap_tell_nothing(told):
    """60 dB apart everywhere."""
    apart = replace(WANTED, upper=1e-3 * WANTED.lower)
    size = np.abs(apart.lower)
    if told == "sum_against":
        missing, counted = sum_against(apart, size, CORNER)
        assert np.isnan(missing)
        assert not counted.any()
        return
    found = phase_by_sums(FREQUENCY, size, size, CORNER, apart)
    assert all(np.isnan(value) for value in vars(found).values())


def test_a_sum_is_held_against_the_designs_through_the_overlap():
    """Half of it is 6.02 dB too little, whatever is heard far from the crossover."""
    total = np.abs(WANTED.lower + WANTED.upper)
    far = np.abs(np.log2(FREQUENCY / CORNER)) > 2
    missing, counted = sum_against(WANTED, np.where(far, 7.0, 0.5 * total), CORNER)
    assert missing == pytest.approx(20 * np.log10(2))
    assert not counted[far].any()
    assert counted.argmax() == np.argmin(np.abs(FREQUENCY - CORNER))
