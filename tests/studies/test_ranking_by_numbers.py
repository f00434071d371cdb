"""Designs ranked by numbers put in by hand: which can be told apart, and which cannot."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
import xarray as xr

from acoustics.studies.comparison.verdicts import figure
from acoustics.studies.wording import number
from acoustics.studies.yardsticks.qualities import (
    QUALITIES,
    Quality,
    qualities_for,
    quality_of,
    rank,
)


def ranking(values, uncertainties, better="nearer zero", at_least=None, above=None):
    """The ranking of designs by one number each."""
    quality = Quality("quality", "answer", better, "degree", finer=1)
    table = xr.Dataset(
        {
            "value": (("row", "design"), [list(values)]),
            "uncertainty": (("row", "design"), [list(uncertainties)]),
            "uncertainty_above": (("row", "design"), [list(above or uncertainties)]),
            "at_least": (("row", "design"), [list(at_least or [False] * len(values))]),
        },
        coords={"answer": ("row", ["answer"]), "place": ("row", [""])},
    )
    return rank(table, quality)


def by_place(places, values, at_least=None, doubt=0.02):
    """The ranking of designs by a range at several places, shape (place, design)."""
    shape = len(values), len(values[0])
    doubts = (("row", "design"), np.full(shape, doubt))
    table = xr.Dataset(
        {
            "value": (("row", "design"), values),
            "uncertainty": doubts,
            "uncertainty_above": doubts,
            "at_least": (("row", "design"), at_least or np.zeros(shape, dtype=bool)),
        },
        coords={"answer": ("row", ["answer"] * shape[0]), "place": ("row", places)},
    )
    return rank(table, Quality("room", "answer", "higher", "m"))


def test_the_main_seat_is_ranked():
    """Another seat may be worse; a seat alone needs no name."""
    places = ["main seat, ear height 0.90 m", "seat end, left cabinet, ear height 0.90 m"]
    found = by_place(places, [[0.5, 0.4], [0.1, 0.9]])
    assert found.values == (0.5, 0.4)
    assert found.best == (0,)
    assert set(found.places) == {places[0]}
    assert by_place(["ear height 0.90 m"], [[0.1, 0.9]]).best == (1,)


@pytest.mark.parametrize(
    ("closed", "values", "at_least", "best"),
    [
        # 0.30 m or more at one ear, 0.31 m at the other: surely no more than 0.31 m.
        (0.31, (0.31, 0.6), (False, False), (1,)),
        # Between 0.30 m and 0.50 m: surely less than 0.6 m, though not known.
        (0.50, (0.30, 0.6), (True, False), (1,)),
        # Between 0.30 m and 0.90 m: may be more than 0.6 m.
        (0.90, (0.30, 0.6), (True, False), (0, 1)),
    ],
)
def test_an_open_range_is_bounded_by_a_closed_one(closed, values, at_least, best):
    found = by_place(
        ["ear height 0.90 m", "ear height 1.10 m"],
        [[0.30, 0.6], [closed, 0.7]],
        [[True, False], [False, False]],
    )
    assert (found.values, found.at_least, found.best) == (values, at_least, best)


def test_a_null_against_a_shallow_dip_is_no_draw():
    """45 dB that may be 35 dB, or no end of it, against 3 dB; two nulls cannot be told apart."""
    depths = "deepest_dip_depth"
    null, shallow = (45.0, 10.0, np.inf), (3.0, 0.1, 0.1)
    found = ranking(*zip(null[:2], shallow[:2], strict=True), "lower", above=(null[2], shallow[2]))
    assert found.best == (1,)
    both = ranking((45.0, 40.0), (10.0, 6.0), "lower", above=(np.inf, np.inf))
    assert both.draw
    assert number(both.doubt(0), "dB") == "∞"
    deep = dataclasses.replace(found, quality=Quality("depth", depths, "lower", "dB"))
    assert (figure(deep, 0), figure(deep, 1)) == ("at least 35.0 dB", "3.0 dB")


@pytest.mark.parametrize(
    ("values", "best"),
    [((5.0, -5.0), (0, 1)), ((5.0, -6.0), (0,)), ((-6.0, 5.0), (1,)), ((5.0, -5.7), (0, 1))],
)
def test_nearness_to_zero_is_what_is_told_apart(values, best):
    assert ranking(values, (0.4, 0.4)).best == best


def test_three_designs_are_each_held_against_the_best():
    """a cannot be told from b, the best, nor from c; c can be told from b."""
    three = ranking((1.5, 1.0, 2.1), (0.4, 0.4, 0.4), "lower")
    assert (three.first, three.best, three.draw) == (1, (0, 1), False)
    assert three.behind(2) == pytest.approx(1.1)
    assert three.doubt(2) == pytest.approx(0.8)


@pytest.mark.parametrize(
    ("at_least", "best"),
    [
        ((False, False), (0,)),
        ((True, False), (0,)),
        ((False, True), (0, 1)),
        ((True, True), (0, 1)),
    ],
)
def test_a_number_that_may_be_larger_is_not_worse_for_being_small(at_least, best):
    found = ranking((1.4, 1.0), (0.05, 0.05), "higher", at_least)
    assert found.best == best
    assert figure(found, 1) == ("at least 1.0°" if at_least[1] else "1.0°")


def test_qualities_by_their_answers_and_dips_of_surfaces_last():
    assert [quality_of(each.answer) for each in QUALITIES] == list(QUALITIES)
    *first, floor, wall = qualities_for(("floor", "wall"))
    assert first == list(QUALITIES)
    assert [each.where for each in (floor, wall)] == ["floor", "wall"]
    assert {each.answer for each in (floor, wall)} == {"deepest_dip_depth"}
    assert {each.better for each in (floor, wall)} == {"lower"}


def test_numbers_of_a_ranking_are_those_of_each_designs_worst_place():
    found = by_place(["ear height 0.90 m", "ear height 1.10 m"], [[0.5, 0.9], [0.6, 0.4]])
    assert found.values == (0.5, 0.4)
    assert found.badness == (-0.5, -0.4)
    assert found.places == ("ear height 0.90 m", "ear height 1.10 m")
    assert found.uncertainties == found.worse_by == (0.02, 0.02)
    assert (found.first, found.best, found.draw) == (0, (0,), False)
    assert found.behind(1) == pytest.approx(0.1)


def test_only_places_of_a_surface_count_for_its_dip():
    """Of two surfaces at one place the named one; a table without it has no such ranking."""
    depth = Quality("depth", "deepest_dip_depth", "lower", "dB", "floor")
    table = xr.Dataset(
        {
            "value": (("row", "design"), [[3.0, 9.0], [8.0, 1.0], [20.0, 0.0]]),
            "uncertainty": (("row", "design"), np.full((3, 2), 0.1)),
            "uncertainty_above": (("row", "design"), np.full((3, 2), 0.1)),
            "at_least": (("row", "design"), np.zeros((3, 2), dtype=bool)),
        },
        coords={
            "answer": ("row", ["deepest_dip_depth", "deepest_dip_depth", "axis_ripple"]),
            "place": ("row", ["ear height 0.90 m, floor", "ear height 0.90 m, wall", "floor"]),
        },
    )
    assert rank(table, depth).values == (3.0, 9.0)
    assert rank(table, dataclasses.replace(depth, where="")).values == (8.0, 9.0)
    assert rank(table, dataclasses.replace(depth, where="ceiling")) is None


def built(values, builds, better="lower", larger=None, band=0.9):
    """Designs held against builds: `builds` (build, row, design) beside `values` (row, design)."""
    value, each = np.array(values), np.array(builds)
    none = np.zeros(value.shape, dtype=bool)
    rows = ("row", "design")
    table = xr.Dataset(
        {
            "value": (rows, value),
            "uncertainty": (rows, np.full(value.shape, 0.05)),
            "uncertainty_above": (rows, np.full(value.shape, 0.05)),
            "at_least": (rows, none),
            "built": (("build", *rows), each),
            "built_at_least": (
                ("build", *rows),
                np.zeros(each.shape, dtype=bool) if larger is None else np.array(larger),
            ),
        },
        coords={
            "answer": ("row", ["answer"] * len(value)),
            "place": ("row", ["floor"] * len(value)),
        },
        attrs={"band": band},
    )
    return rank(table, Quality("quality", "answer", better, "dB"))


DIFFERENCES = np.linspace(-0.5, 1.5, 21)
"""Of 21 builds: numpy's 5th percentile is the second of them, −0.4."""


@pytest.mark.parametrize(("further", "best"), [(0.0, (0, 1)), (0.41, (0,)), (0.39, (0, 1))])
def test_builds_decide_by_the_lower_end_of_their_band(further, best):
    """The calculation tells 1 dB from 2 dB; builds do where nearly all agree."""
    builds = [[[1.0, 1.0 + each + further]] for each in DIFFERENCES]
    found = built([[1.0, 2.0]], builds)
    low = np.percentile(DIFFERENCES, 5) + further
    assert found.left == pytest.approx((0.0, low), abs=1e-12)
    assert (found.best, found.calculated) == (best, (0,))
    assert found.hidden == found.draw == (len(best) == 2)
    assert found.doubt(1) == pytest.approx(max(0.1, 1.0 - low))


def test_a_draw_of_the_calculation_hides_nothing():
    found = built([[1.0, 1.01]], [[[1.0, 1.01]]] * 5)
    assert (found.draw, found.hidden, found.calculated) == (True, False, (0, 1))


@pytest.mark.parametrize(
    ("better", "value", "rows", "left"),
    [
        # Of two places the worst of every build and design counts.
        ("lower", [[1.0, 2.0], [0.5, 0.2]], [[1.0, 0.2], [0.5, 2.5]], 1.5),
        ("nearer zero", [[1.0, 2.0], [0.5, 0.2]], [[0.5, 0.2], [-1.0, -2.5]], 1.5),
        ("higher", [[1.0, 0.4], [2.0, 3.0]], [[1.0, 3.0], [2.0, 0.3]], 0.7),
    ],
)
def test_the_worst_place_of_each_build_counts(better, value, rows, left):
    assert built(value, [rows] * 3, better).left == pytest.approx((0.0, left))


def test_a_build_that_may_be_larger_is_not_sure_to_be_smaller():
    """Width in metres: the second is 0.5 m or more, so it is not sure to be the narrower."""
    builds = [[[1.0, 0.5]]] * 4
    assert built([[1.0, 0.5]], builds, "higher").left == pytest.approx((0.0, 0.5))
    open_ended = [[[False, True]]] * 4
    found = built([[1.0, 0.5]], builds, "higher", open_ended)
    assert (found.left, found.best, found.calculated) == ((0.0, 0.0), (0, 1), (0,))
