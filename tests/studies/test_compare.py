"""Comparisons: who is better in what, what cannot be told apart, what is not comparable."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
import xarray as xr

from acoustics.case.design.model import (
    Absorber,
    Aim,
    Cabinet,
    FrequencyGrid,
    Placement,
    ReferenceAxis,
    Seat,
    SeatPlace,
    Surface,
)
from acoustics.conventions import RoundoverError
from acoustics.prediction import predict
from acoustics.studies.comparison.compare import compare
from acoustics.studies.comparison.verdicts import dips
from acoustics.studies.labels import file_name, labels_of
from acoustics.studies.yardsticks.qualities import qualities_for, rank
from support.cases import make_case, make_driver, pass_branch, seat_at
from support.kept_numbers import found_once

FEWER = FrequencyGrid(per_octave=12)


@pytest.fixture(scope="module", autouse=True)
def each_design_once():
    with found_once():
        yield


def design(name, digest, **changes):
    changes.setdefault("frequencies", FEWER)
    changes.setdefault("arc_step", 10.0)
    return make_case(path=f"{name}/case.toml", digest=digest * 64, **changes)


def spaced(name, digest, distance, **changes):
    """A two-way whose drivers lie `distance` (m) apart."""
    drivers = (make_driver("woofer", 0.10 - distance), make_driver("tweeter", 0.10))
    crossover = (
        pass_branch("woofer", "low-pass", 2500.0),
        pass_branch("tweeter", "high-pass", 2500.0),
    )
    return design(name, digest, drivers=drivers, crossover=crossover, **changes)


def pick(table, answer):
    """The rows of one answer."""
    return table.isel(row=table.answer.values == answer)


@pytest.fixture(scope="module")
def solve(solve_free_field):
    return solve_free_field


def test_closer_drivers_leave_more_room_for_the_ears(solve):
    """Path differences over height grow with the spacing (common practice, and geometry)."""
    near, far = spaced("near", "a", 0.10), spaced("far", "b", 0.25)
    result = compare([far, near], solve=solve)
    (room,) = [r for r in result.rankings if r.quality.answer == "window_height"]
    assert [result.labels[i] for i in room.best] == ["near"]
    assert room.behind(0) > room.doubt(0)
    assert "near is better in " in result.sentences[0]
    assert "room for the ears at a crossover" in result.sentences[0]


@pytest.fixture(scope="module")
def alike(solve):
    """Two designs that do the same."""
    return compare([design("one", "a"), design("other", "b")], solve=solve)


def test_equal_designs_cannot_be_told_apart(alike):
    assert all(ranking.draw for ranking in alike.rankings)
    assert alike.sentences[0].startswith("No audible difference expected")
    assert (
        "None is better: in every quality the difference is smaller than the uncertainty"
        in alike.sentences[0]
    )
    assert not alike.table.differs.any()
    ripple = alike.rankings[0]
    assert ripple.quality.answer == "axis_ripple"
    assert (ripple.behind(1), ripple.doubt(1)) == (0.0, pytest.approx(0.1))


@pytest.mark.parametrize(("gain", "apart"), [(0.09, False), (0.11, True)])
def test_a_tenth_of_a_decibel_decides(solve, gain, apart):
    def louder(decibels, digest):
        branches = tuple(
            pass_branch(name, kind, 2500.0, gain=decibels)
            for name, kind in (("woofer", "low-pass"), ("tweeter", "high-pass"))
        )
        return design(f"louder by {decibels}", digest, crossover=branches)

    result = compare([louder(0.0, "a"), louder(gain, "b")], solve=solve)
    table = result.table
    level = table.isel(row=int(np.flatnonzero(table.answer.values == "axis_level")[0]))
    assert float(level.difference) == pytest.approx(gain, abs=1e-9)
    assert float(level.difference_uncertainty) == pytest.approx(0.1)
    assert bool(level.differs) is apart


def test_larger_solver_errors_blur_the_difference(solve):
    cases = [spaced("near", "a", 0.10), spaced("far", "b", 0.25)]
    predictions = [predict(case, solve=solve) for case in cases]
    sharp = compare(cases, predictions)
    blurred = compare(
        cases,
        [
            p.assign_coords(error_estimate=("frequency", np.full(p.frequency.size, 3.0)))
            for p in predictions
        ],
    )
    assert int(blurred.table.differs.sum()) < int(sharp.table.differs.sum())
    assert any("at most 3.00 dB" in note for note in blurred.notes)
    assert any("floor of 0.1 dB" in note for note in sharp.notes)


def test_left_and_right_are_judged_apart(solve_baffled_piston):
    drivers = (make_driver("woofer", -0.05), make_driver("tweeter", 0.10, position=(0.06, 0.10)))
    crossover = make_case().crossover
    right = design("right", "a", drivers=drivers, crossover=crossover)
    result = compare([design("centred", "b"), right], solve=solve_baffled_piston)
    rows = result.table.isel(row=result.table.answer.values == "side_ripple")
    assert list(rows.place.values) == ["60° left", "30° left", "30° right", "60° right"]
    centred, offset = rows.value.values.T
    np.testing.assert_allclose(centred, centred[::-1], atol=1e-6)
    assert abs(offset[0] - offset[-1]) > 0.1


def test_three_designs(solve):
    cases = [spaced("a", "a", 0.10), spaced("b", "b", 0.101), spaced("c", "c", 0.30)]
    result = compare(cases, solve=solve)
    (room,) = [r for r in result.rankings if r.quality.answer == "window_height"]
    assert 2 not in room.best
    assert result.table.value.sizes == {"row": result.table.row.size, "design": 3}
    np.testing.assert_allclose(
        result.table.difference, result.table.value.max("design") - result.table.value.min("design")
    )


def test_aims_are_counted(solve):
    aims = tuple(
        Aim(name, "level", "reference axis", (300.0, 10_000.0), 6.0, limit, None)
        for name, limit in (("audible", 0.0), ("deafening", 150.0))
    )
    result = compare([design("one", "a", aims=aims), design("other", "b")], solve=solve)
    assert "one meets 1 of its 2 aims; missed: “deafening”." in result.sentences
    assert not any(sentence.startswith("other meets") for sentence in result.sentences)


def test_only_common_ear_heights_are_compared(solve):
    one = design("one", "a", seat=seat_at(2.5, (0.9, 1.1)))
    other = design("other", "b", seat=seat_at(2.5, (1.1, 1.3)))
    result = compare([one, other], solve=solve)
    assert result.ear_heights == (1.1,)
    places = {str(place) for place in result.table.place.values if "ear height" in str(place)}
    assert all("ear height 1.10 m" in place for place in places)
    assert any("ear heights common to all" in note for note in result.notes)


def test_no_common_ear_height_is_said(solve):
    one = design("one", "a", seat=seat_at(2.5, (0.9,)))
    other = design("other", "b", seat=seat_at(2.5, (1.2,)))
    result = compare([one, other], solve=solve)
    assert result.ear_heights == ()
    assert not any("seat" in str(name) for name in result.table.answer.values)
    assert any("give all designs the same ear_heights" in note for note in result.notes)


def test_other_drivers_and_fewer_crossovers(solve):
    one_way = design("one-way", "a", drivers=[make_driver("wide-band")])
    result = compare([one_way, design("two-way", "b")], solve=solve)
    assert any(
        "number of crossovers differs (0 in one-way and 1 in two-way)" in n for n in result.notes
    )
    assert "lobe_direction" not in result.table.answer.values


def test_crossovers_of_other_names_go_by_order(solve):
    drivers = (make_driver("bass", -0.05), make_driver("treble", 0.10))
    crossover = (
        pass_branch("bass", "low-pass", 2000.0),
        pass_branch("treble", "high-pass", 2000.0),
    )
    named = design("named", "a", drivers=drivers, crossover=crossover)
    result = compare([named, design("plain", "b")], solve=solve)
    assert any("compared in order of frequency" in note for note in result.notes)
    rows = result.table.answer.values == "crossover_frequency"
    assert list(result.table.place.values[rows]) == ["crossover 1"]
    np.testing.assert_allclose(result.table.value.values[rows], [[2000, 2500]], rtol=2e-3)


def test_frequencies_that_do_not_cover_the_band_are_not_compared(solve):
    short = design("short", "a", frequencies=FrequencyGrid(500.0, 5000.0, 12))
    result = compare([short, design("full", "b")], solve=solve)
    assert any(
        note.startswith("short: ") and "Change [frequencies]" in note for note in result.notes
    )
    assert "axis_ripple" not in result.table.answer.values
    assert "crossover_frequency" in result.table.answer.values
    assert np.isfinite(result.table.value).all()


def test_what_is_not_the_same_is_noted(solve):
    one = design(
        "one",
        "a",
        seat=seat_at(2.0, (0.9, 1.1), 0.3),
        surfaces=(Surface("floor", 0.0, 0.8), Surface("ceiling", 2.5)),
        reference=ReferenceAxis((0.0, 0.1), 1.5),
        placement=Placement(toe_in=10.0),
    )
    layer = Surface("floor", 0.0, absorber=Absorber(0.05, 10_000.0))
    notes = compare([one, design("other", "b", surfaces=(layer,))], solve=solve).notes
    for start in (
        "Reference distances differ (1.5 m in one and 2 m in other)",
        "The placement differs (a single cabinet turned by 10° in one and a single cabinet in",
        "The main seat is not in the same place (2 m ahead and 0.3 m to the right in one and 2.5 m "
        "ahead in other)",
        "The floor is not the same (reflection 0.8 in one and absorber of 50 mm, 10000 Pa s/m² in",
        "The designs do not have the same reflecting surfaces (one: floor, ceiling; other: floor)",
    ):
        assert sum(note.startswith(start) for note in notes) == 1, start


def test_only_common_surfaces_are_compared(solve):
    one = design("one", "a", surfaces=(Surface("floor", 0.0), Surface("front wall", 0.7)))
    other = design("other", "b", surfaces=(Surface("front wall", 0.7), Surface("ceiling", 2.6)))
    result = compare([one, other], solve=solve)
    rows = result.table.answer.values == "dip_depth"
    assert list(result.table.place.values[rows]) == [
        "front wall, ear height 0.90 m",
        "front wall, ear height 1.10 m",
    ]
    assert [r.quality.name for r in result.rankings][-1] == "depth of the front wall's deepest dip"


def test_one_design_is_no_comparison():
    with pytest.raises(RoundoverError, match="at least two"):
        compare([design("one", "a")])


def test_predictions_of_other_designs_are_refused(solve):
    one, other = design("one", "a"), design("other", "b")
    prediction = predict(one, solve=solve)
    with pytest.raises(RoundoverError, match="another design"):
        compare([one, other], [prediction, prediction])
    with pytest.raises(RoundoverError, match="1 predictions"):
        compare([one, other], [prediction])


def test_a_floor_that_reflects_nothing_is_none(solve):
    one, other = design("one", "a", surfaces=(Surface("floor", 0.0, 0.0),)), design("other", "b")
    result = compare([one, other], solve=solve)
    assert any("(one: none; other: floor)" in n and "no dips" in n for n in result.notes)
    assert "dip_depth" not in result.table.answer.values


def test_a_single_cabinet_stands_against_both_of_a_pair(solve):
    """At a seat aside of the middle the two of a pair are heard apart."""
    seat = Seat((SeatPlace("main", 2.5, 0.4),), (0.9,))
    pair = design("pair", "a", seat=seat, placement=Placement(True, 2.0))
    single = design("single", "b", seat=seat)
    ripple = pick(compare([single, pair], solve=solve).table, "seat_level")
    assert list(ripple.place.values) == [
        "left cabinet, ear height 0.90 m",
        "right cabinet, ear height 0.90 m",
    ]
    alone, two = ripple.value.values.T
    assert alone[0] == alone[1]
    assert two[0] < two[1]


def test_only_common_seats_are_compared(solve):
    places = SeatPlace("main", 2.5), SeatPlace("sofa end", 2.7, 0.8), SeatPlace("desk", 2.0)
    one = design("one", "a", seat=Seat(places, (0.9,)))
    other = design("other", "b", seat=Seat(places[:2], (0.9,)))
    result = compare([one, other], solve=solve)
    assert list(pick(result.table, "seat_ripple").place.values) == [
        "main seat, ear height 0.90 m",
        "seat sofa end, ear height 0.90 m",
    ]
    assert (
        "Only the seats common to all are compared (one: main, sofa end, desk; other: main, "
        in (" ".join(result.notes))
    )
    alone = design("alone", "c", seat=seat_at(2.5, (0.9,)))
    table = compare([one, alone], solve=solve).table
    assert list(pick(table, "seat_ripple").place.values) == ["ear height 0.90 m"]


def test_the_baffle_step_is_compared_driver_by_driver(solve):
    drivers = (make_driver("bass", -0.05), make_driver("tweeter", 0.10))
    crossover = pass_branch("bass", "low-pass", 2500.0), pass_branch("tweeter", "high-pass", 2500.0)
    named = design("named", "a", drivers=drivers, crossover=crossover)
    notes = compare([named, design("plain", "b")], solve=solve).notes
    assert "The baffle step is compared for drivers that all designs have: tweeter." in notes


def test_dips_that_are_not_known_are_not_compared(solve):
    grid = FrequencyGrid(600.0, 20_000.0, 12)
    one, other = design("one", "a", frequencies=grid), design("other", "b", frequencies=grid)
    result = compare([one, other], solve=solve)
    assert any("lies below the predicted frequencies" in note for note in result.notes)
    assert "dip_depth" not in result.table.answer.values


def test_lobes_between_coarse_angles_are_not_compared(solve):
    """36 angles tell orders up to 18 apart; a corner at 0.6 m has 2π·2500·0.6/343 = 27 of them."""
    tall = Cabinet(0.22, 1.0, 0.3, 0.0)
    one = design("one", "a", arc_step=2.0, cabinet=tall)
    other = design("other", "b", arc_step=10.0, cabinet=tall)
    result = compare([one, other], solve=solve)
    assert any(
        note.startswith("other: the angles of the arcs lie too far") for note in result.notes
    )
    assert not any(note.startswith("one: the angles") for note in result.notes)
    assert "lobe_direction" not in result.table.answer.values


def test_predictions_of_different_solvers_are_refused(solve):
    cases = [design("one", "a"), design("other", "b")]
    old, new = (predict(case, solve=solve) for case in cases)
    with pytest.raises(RoundoverError, match="predict the cases again"):
        compare(cases, [old.assign_attrs(solver=0), new])


def test_the_same_design_twice_is_refused():
    """Before anything is solved."""
    with pytest.raises(RoundoverError, match=r"one/case\.toml and copy/case\.toml describe"):
        compare([design("one", "a"), design("other", "b"), design("copy", "a")])


def test_designs_that_differ_in_their_aims_alone_are_compared(solve):
    aim = Aim("loud", "level", "reference axis", (300.0, 10_000.0), 6.0, 0.0, None)
    result = compare([design("one", "a"), design("two", "a", aims=(aim,))], solve=solve)
    assert result.sentences[0].startswith("No audible difference expected")
    assert "two meets its one aim." in result.sentences


@pytest.mark.parametrize(
    ("paths", "labels"),
    [
        (("x/case.toml", "y/case.toml"), ("x", "y")),
        (("x/first.toml", "x/second.toml"), ("first", "second")),
        (("x/case.toml", "z/x/case.toml"), ("1: x", "2: x")),
        (("x/case.toml", "z/x/case.toml", "1: x.toml"), ("1: x", "2: x", "3: 1: x")),
        (("x/case.toml", "X/case.toml"), ("1: x", "2: X")),
        (("a:b.toml", "a-b.toml"), ("1: a:b", "2: a-b")),
    ],
)
def test_labels_and_file_names_stay_apart(paths, labels):
    """Also where a file system takes capital and small letters as one."""
    found = labels_of([make_case(path=path) for path in paths])
    assert found == labels
    assert len({file_name(label).casefold() for label in found}) == len(paths)


def test_windows_that_reach_an_end_are_at_least_so_high(solve):
    """One driver alone: the level over height hardly changes, so all heights are in the window."""
    cases = [
        design(name, name[0], drivers=[make_driver("only", y)], seat=seat_at(2.5, (0.9,)))
        for name, y in (("low", -0.1), ("high", 0.1))
    ]
    table = compare(cases, solve=solve).table
    span = pick(table, "height_span")
    assert span.at_least.values.all()
    assert not span.differs.any()
    assert not pick(table, "axis_ripple").at_least.any()


def test_a_later_dip_that_is_deeper_is_told():
    answers = xr.Dataset(
        {
            f"{name}_{what}": (("listener", "surface", "ear_height"), [[[figure]]])
            for name, figures in (
                ("dip", (300.0, 3.0, "woofer")),
                ("deepest_dip", (900.0, 9.0, "mid")),
            )
            for what, figure in zip(("frequency", "depth", "driver"), figures, strict=True)
        },
        coords={"listener": [""], "surface": ["floor"]},
    )
    doubt = 0.2 + 0 * answers.deepest_dip_depth
    answers = answers.assign(deepest_dip_depth_uncertainty=doubt)
    first, deepest = dips(("one", "other"), (answers, answers))
    assert first == "First dip: floor at 300 Hz (woofer) in both designs."
    assert deepest == "Deepest dip up to 1.5 kHz: floor 9.0 dB at 900 Hz (mid) in both designs."
    null = answers.assign(deepest_dip_depth_uncertainty=doubt + 3)
    assert dips(("one", "other"), (null, null))[1].startswith(
        "Deepest dip up to 1.5 kHz: floor at least 5.8 dB at 900 Hz"
    )
    shallow = answers.assign(deepest_dip_depth=answers.dip_depth + 0.9)
    assert dips(("one", "other"), (shallow, shallow)) == [first]
    there = answers.assign_coords(listener=["main seat, left cabinet"])
    moved = there.assign(dip_frequency=there.dip_frequency + 40)
    assert dips(("one", "other"), (there, moved))[0] == (
        "First dip (main seat, left cabinet): floor at 300 Hz (woofer) in one, at 340 Hz (woofer) "
        "in other."
    )


def test_every_quality_is_in_the_table(alike):
    qualities = qualities_for(["floor"])
    assert len(qualities) == 11
    assert [rank(alike.table, quality) is not None for quality in qualities] == [True] * 11


def test_the_worst_place_decides(alike):
    table = alike.table.copy(deep=True)
    rows = np.flatnonzero(table.answer.values == "side_ripple")
    table.value.values[rows] = [[1.0, 2.0], [1.0, 2.5], [1.0, 2.2], [5.0, 2.1]]
    quality = next(q for q in qualities_for([]) if q.answer == "side_ripple")
    found = rank(table, quality)
    assert found.values == (5.0, 2.5)
    assert found.places == ("60° right", "30° left")
    assert found.best == (1,)


def test_verdict_is_frozen(alike):
    with pytest.raises(dataclasses.FrozenInstanceError):
        alike.labels = ()
