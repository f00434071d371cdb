"""The floor's deepest dip of many layouts at once, against image source and two paths by hand."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.listening.floor_dip import deepest_floor_dips

C = 343.0
FREQUENCY = np.geomspace(40.0, 12_000.0, 200)


def path(length, strength=1.0):
    return strength * np.exp(-2j * np.pi * FREQUENCY * length / C) / length


def test_two_paths_cancel_down_to_what_the_longer_one_lacks():
    """Image source: first dip where the paths differ by half a wave, 1 − r·d₁/d₂ of the direct

    (Everest & Pohlmann, Master Handbook of Acoustics, comb filters; from memory). Three layouts.
    """
    direct, longer = 2.5, 3.1
    strengths = np.array([0.3, 0.7, 0.9])
    added = np.array([path(longer, each) for each in strengths])
    pressure = np.broadcast_to(path(direct), added.shape)
    found = deepest_floor_dips(pressure, added, FREQUENCY, (direct, longer), C)
    exact = -20 * np.log10(1 - strengths * direct / longer)
    assert found == pytest.approx(exact, abs=0.05)


def test_a_dip_shallower_than_a_decibel_is_none():
    """|1 − 0.1| is 0.9 dB down, |1 − 0.15| 1.4 dB."""
    direct, longer = 2.0, 2.5
    for share, depth in ((0.1, 0.0), (0.15, -20 * np.log10(0.85))):
        added = path(longer, share * longer / direct)
        (found,) = deepest_floor_dips(
            path(direct)[None], added[None], FREQUENCY, (direct, longer), C
        )
        assert found == pytest.approx(depth, abs=0.02)


def test_dips_above_one_and_a_half_kilohertz_are_no_affair_of_the_floor():
    """Paths 50 mm apart cancel first at 3.4 kHz, 150 mm apart at 1.1 kHz."""
    for apart, any_dip in ((0.05, False), (0.15, True)):
        direct, added = path(2.0), path(2.0 + apart, 0.9)
        (found,) = deepest_floor_dips(direct[None], added[None], FREQUENCY, (2.0, 2.0 + apart), C)
        assert (found > 1.0) == any_dip


def test_where_nothing_can_be_followed_or_was_solved():
    """Octaves apart the sound between is not known: not a number; a place not solved has no dip."""
    coarse = FREQUENCY[::40]
    nothing = np.ones((2, coarse.size), dtype=complex)
    assert np.isnan(deepest_floor_dips(nothing, nothing, coarse, (2.0, 3.0), C)).all()
    unsolved = np.full((1, FREQUENCY.size), np.nan + 0j)
    assert deepest_floor_dips(unsolved, unsolved, FREQUENCY, (2.0, 3.0), C).tolist() == [0.0]
