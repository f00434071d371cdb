"""Which points of a sweep are best, by numbers made by hand."""

from __future__ import annotations

import numpy as np
import pytest
import xarray as xr

from acoustics.studies.sweeps.ranking import QUALITIES, key_names, keys_at, standing, standings
from acoustics.studies.yardsticks.qualities import Quality

RIPPLE = Quality("evenness", "window_ripple", "lower", "dB")


def made_by_hand(ripple, **numbers):
    """A sweep over two offsets and three drawn widths."""
    values = {"window_ripple": ripple, "axis_ripple": ripple, **numbers}
    values.setdefault("level_uncertainty", np.full((2, 3), 0.05))
    return xr.Dataset(
        {name: (("offset", "sample"), np.array(each)) for name, each in values.items()},
        coords={
            "offset": ("offset", [0.0, 0.02], {"units": "m"}),
            "sample": ("sample", [0, 1, 2]),
            "cabinet_width": ("sample", [0.21, 0.25, 0.23], {"units": "m"}),
        },
    )


def test_points_within_both_errors_are_as_good_as_the_best():
    found = made_by_hand([[1.2, 1.0, np.nan], [1.05, 1.11, 2.0]])
    one = standing(found, RIPPLE)
    assert (one.best, one.worst) == (1, 5)
    assert one.alike.tolist() == [False, True, False, True, False, False]  # 1.11 − 1.0 > 2·0.05
    assert not one.draw


def test_what_compares_two_levels_is_off_by_twice_as_much():
    found = made_by_hand([[1.0] * 3] * 2, relative_ripple=[[1.0, 1.15, 1.25], [2.0] * 3])
    one = standing(found, Quality("relative", "relative_ripple", "lower", "dB"))
    assert one.alike.tolist() == [True, True, False, False, False, False]


def test_a_wider_beam_is_better_and_widths_have_no_error():
    found = made_by_hand([[1.0] * 3] * 2, least_beamwidth=[[90.0, 100.0, 99.9], [80.0] * 3])
    one = standing(found, Quality("beam", "least_beamwidth", "higher", "degree"))
    assert (one.best, one.alike.sum()) == (1, 1)


def test_points_that_are_all_alike_are_a_draw():
    assert standing(made_by_hand([[1.0, 1.02, np.nan], [1.04, 1.0, 1.0]]), RIPPLE).draw
    assert standing(made_by_hand([[np.nan] * 3] * 2), RIPPLE) is None


def test_a_point_is_told_by_its_keys():
    found = made_by_hand([[1.0] * 3] * 2)
    assert key_names(found) == ["offset", "cabinet_width"]
    at = {key.name: value for key, value in keys_at(found, 4)}
    assert at == {"offset": pytest.approx(0.02), "cabinet_width": pytest.approx(0.25)}


def test_qualities_that_are_known_of_no_point_are_left_out():
    """Each by its own number; a dip's error is a dip's, and widths have none."""
    numbers = {each.answer: np.arange(6.0).reshape(2, 3) + 1 for each in QUALITIES}
    numbers["aside_span"] = np.full((2, 3), np.nan)
    found = standings(made_by_hand(numbers.pop("window_ripple"), **numbers))
    assert [one.quality for one in found] == [q for q in QUALITIES if q.answer != "aside_span"]
    for one in found:
        assert one.best == (5 if one.quality.better == "higher" else 0)
        assert one.worst == 5 - one.best
    assert {one.quality.unit for one in found} == {"dB", "degree", "m"}
