"""The best place of a map and the room round it, for maps whose answer is plain."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics.studies.driver_map.face_places import ALLOWED, IN_THE_WAY, face_places
from acoustics.studies.driver_map.flatness import best_place
from support.cases import make_case, make_driver

DRIVERS = (
    make_driver("woofer", -0.05, piston_diameter=0.12, frame_diameter=0.16),
    make_driver("tweeter", 0.12, piston_diameter=0.025, frame_diameter=0.10),
)
CASE = make_case(DRIVERS)


def test_the_best_place_and_how_far_one_may_go_from_it():
    """A bowl of 1 dB per 20 mm squared about (20 mm, 60 mm): 0.1 dB is reached after 6.3 mm."""
    case = make_case(DRIVERS[1:])
    lattice = face_places(case, "tweeter", 0.001)
    right, up = np.meshgrid(lattice.right, lattice.up)
    bowl = ((right - 0.02) ** 2 + (up - 0.06) ** 2) / 0.02**2
    best = best_place(lattice, bowl, 1)
    assert lattice.right[best.index[1]] == pytest.approx(0.02)
    assert lattice.up[best.index[0]] == pytest.approx(0.06)
    assert best.within == 0.1
    for reach in (best.left, best.right, best.down, best.up):
        assert reach == pytest.approx(0.006)
    assert best.area == pytest.approx(np.pi * 0.1 * 0.02**2, rel=0.03)
    assert best_place(lattice, -bowl, -1).index == best.index
    # A second hollow as deep, beyond a ridge, is not part of the region.
    two = np.minimum(bowl, 0.01 + ((right + 0.03) ** 2 + (up + 0.06) ** 2) / 0.02**2)
    assert best_place(lattice, two, 1).area == pytest.approx(best.area)
    # Of the figure itself a tenth counts, where that is more.
    assert best_place(lattice, bowl + 3.0, 1).within == pytest.approx(0.3)


def test_the_best_place_is_an_allowed_one():
    lattice = face_places(CASE, "tweeter", 0.01)
    _, up = np.meshgrid(lattice.right, lattice.up)
    row, column = best_place(lattice, np.abs(up + 0.05), 1).index
    assert lattice.zone[row, column] == ALLOWED


def small(metric, forbidden=(), step=0.01):
    """A map with as many places as `metric` has, middle of the face at its middle."""
    up, right = (step * (np.arange(n) - n // 2) for n in metric.shape)
    zone = np.full(metric.shape, ALLOWED)
    for place in forbidden:
        zone[place] = IN_THE_WAY
    lattice = face_places(make_case(DRIVERS[1:]), "tweeter", 0.01)
    return replace(lattice, right=right, up=up, zone=zone, there=np.ones(metric.shape, dtype=bool))


STEPS = np.array(
    [
        [0.9, 0.9, 0.9, 0.9, 0.9],
        [0.9, 0.05, 0.0, 0.1, 0.08],
        [0.9, 0.9, 0.09, 0.9, 0.9],
        [0.05, 0.9, 0.9, 0.9, 0.9],
    ]
)
"""dB: round the best place (second row, third place) five places are as good, and one elsewhere"""


def test_how_far_one_may_go_each_way_counted_by_hand():
    best = best_place(small(STEPS), STEPS, 1)
    assert best.index == (1, 2)
    assert best.left == pytest.approx(0.01)
    assert best.right == pytest.approx(0.02)
    assert best.down == 0.0
    assert best.up == pytest.approx(0.01)
    assert best.area == pytest.approx(5 * 1e-4)
    assert best.attributes() == {
        "best_within": 0.1,
        "best_left": best.left,
        "best_right": best.right,
        "best_down": 0.0,
        "best_up": best.up,
        "best_area": best.area,
    }


def test_a_map_that_is_level_is_as_good_everywhere_and_best_in_the_middle():
    level = np.full((3, 5), 2.0)
    best = best_place(small(level), level, 1)
    assert best.index == (1, 2)
    assert (best.left, best.right) == pytest.approx((0.02, 0.02))
    assert (best.down, best.up) == pytest.approx((0.01, 0.01))
    assert best.area == pytest.approx(15 * 1e-4)
    assert best_place(small(level[:2, :2]), level[:2, :2], 1).area == pytest.approx(4 * 1e-4)


def test_places_that_are_forbidden_or_unknown_are_no_part_of_it():
    level = np.full((3, 5), 2.0)
    level[1, 4] = np.nan
    best = best_place(small(level, forbidden=[(1, 1), (0, 2)]), level, 1)
    assert best.index == (1, 2)
    assert (best.left, best.right, best.down) == pytest.approx((0.0, 0.01, 0.0))
    assert best.area == pytest.approx(12 * 1e-4)


def test_where_more_is_better_a_tenth_of_a_decibel_counts_whatever_its_size():
    """A tenth of what is wanted large is no measure: 80 degrees are not as good as 88."""
    wide = np.array([[80.0, 87.95, 88.0, 87.8]])
    best = best_place(small(wide), wide, -1)
    assert (best.index, best.within) == ((0, 2), 0.1)
    assert (best.left, best.right) == pytest.approx((0.01, 0.0))
    narrow = best_place(small(wide), wide, 1)
    assert (narrow.index, narrow.within) == ((0, 0), pytest.approx(8.0))
    assert narrow.right == pytest.approx(0.03)
    assert (wide.shape[0], best.area, narrow.area) == (1, 0.0, 0.0)  # a line has no area
