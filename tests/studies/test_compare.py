"""Comparisons: who is better in what, what cannot be told apart, what is not comparable."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
import xarray as xr

from acoustics.case.model import Aim, Floor, FrequencyGrid, Seat
from acoustics.conventions import RoundoverError
from acoustics.prediction import predict
from acoustics.studies import compare
from acoustics.studies.curves import difference_to_first, floor_curves, height_curves
from acoustics.studies.labels import file_name, labels_of
from acoustics.studies.qualities import QUALITIES, Quality, rank
from acoustics.studies.verdicts import floor_dips, ranking_sentence
from support.cases import make_case, make_driver, pass_branch

FEWER = FrequencyGrid(per_octave=12)


def design(name, digest, **changes):
    changes.setdefault("frequencies", FEWER)
    return make_case(path=f"{name}/case.toml", digest=digest * 64, **changes)


def spaced(name, digest, distance, **changes):
    """A two-way whose drivers lie `distance` (m) apart."""
    drivers = (make_driver("woofer", 0.10 - distance), make_driver("tweeter", 0.10))
    crossover = (
        pass_branch("woofer", "low-pass", 2500.0),
        pass_branch("tweeter", "high-pass", 2500.0),
    )
    return design(name, digest, drivers=drivers, crossover=crossover, **changes)


@pytest.fixture(scope="module")
def solve(solve_free_field):
    return solve_free_field


def test_closer_drivers_leave_more_room_for_the_ears(solve):
    """Path differences over height grow with the spacing (common practice, and geometry)."""
    near, far = spaced("near", "a", 0.10), spaced("far", "b", 0.25)
    result = compare([far, near], solve=solve)
    (room,) = [r for r in result.rankings if r.quality.answer == "window_height"]
    assert [result.labels[i] for i in room.best] == ["near"]
    (sentence,) = [s for s in result.sentences if s.startswith("Room for the ears")]
    assert "near (" in sentence
    assert "is better than far" in sentence
    assert "uncertainty" in sentence
    assert result.sentences[0].startswith("near is better in ")


def test_equal_designs_cannot_be_told_apart(solve):
    one, other = design("one", "a"), design("other", "b")
    result = compare([one, other], solve=solve)
    assert all(ranking.draw for ranking in result.rankings)
    assert result.sentences[0].startswith("The designs cannot be told apart: every difference is")
    assert not result.table.differs.any()
    ripple = next(s for s in result.sentences if s.startswith("Evenness on the reference axis"))
    assert "the difference, 0.00 dB, is smaller than the uncertainty, 0.10 dB" in ripple


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
    assert "one meets 1 of its 2 aims; missed: deafening." in result.sentences
    assert not any(sentence.startswith("other meets") for sentence in result.sentences)


def test_only_common_ear_heights_are_compared(solve):
    one = design("one", "a", seat=Seat(2.5, (0.9, 1.1)))
    other = design("other", "b", seat=Seat(2.5, (1.1, 1.3)))
    result = compare([one, other], solve=solve)
    assert result.ear_heights == (1.1,)
    places = {str(place) for place in result.table.place.values if "ear height" in str(place)}
    assert all("ear height 1.10 m" in place for place in places)
    assert any("ear heights common to all" in note for note in result.notes)


def test_no_common_ear_height_is_said(solve):
    one = design("one", "a", seat=Seat(2.5, (0.9,)))
    other = design("other", "b", seat=Seat(2.5, (1.2,)))
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
    assert height_curves(result) == []


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


def test_differences_are_taken_at_common_frequencies(solve):
    coarse = design("coarse", "a", frequencies=FrequencyGrid(per_octave=6))
    fine = design("fine", "b", frequencies=FrequencyGrid(per_octave=12))
    odd = design("odd", "c", frequencies=FrequencyGrid(per_octave=7))
    from acoustics.studies.curves import axis_curves

    curves = axis_curves(compare([coarse, fine, odd], solve=solve))
    apart = difference_to_first(curves)
    np.testing.assert_allclose(apart["fine"], 0.0, atol=1e-9)
    assert apart["fine"].frequency.size == curves["coarse"].frequency.size


def test_seat_and_floor_that_differ_are_noted(solve):
    one = design("one", "a", seat=Seat(2.0, (0.9, 1.1)))
    other = design("other", "b", floor=None)
    result = compare([one, other], solve=solve)
    assert any(
        note.startswith("Seat distances differ (2 m in one and 2.5 m in other)")
        and "windows over height and the floor's dips" in note
        for note in result.notes
    )
    assert any("No floor reflects in other" in note for note in result.notes)
    assert "dip_depth" not in result.table.answer.values


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
    one, other = design("one", "a", floor=Floor(0.0)), design("other", "b")
    result = compare([one, other], solve=solve)
    assert any("No floor reflects in one" in note for note in result.notes)
    assert "dip_depth" not in result.table.answer.values
    assert floor_curves(result) == {}


def test_floors_that_reflect_differently_are_noted(solve):
    one, other = design("one", "a", floor=Floor(0.8)), design("other", "b")
    result = compare([one, other], solve=solve)
    assert any(
        note.startswith("The floor's reflection differs (0.8 in one and 1 in other)")
        for note in result.notes
    )
    assert "dip_depth" in result.table.answer.values


def test_dips_that_are_not_known_are_not_compared(solve):
    grid = FrequencyGrid(600.0, 20_000.0, 12)
    one, other = design("one", "a", frequencies=grid), design("other", "b", frequencies=grid)
    result = compare([one, other], solve=solve)
    assert any("lies below the predicted frequencies" in note for note in result.notes)
    assert "dip_depth" not in result.table.answer.values


def test_lobes_between_coarse_angles_are_not_compared(solve):
    one, other = design("one", "a", arc_step=2.0), design("other", "b", arc_step=45.0)
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


def ranking(values, uncertainties, better="nearer zero"):
    """The ranking of designs by one number each."""
    quality = Quality("quality", "answer", better, "degree", finer=1)
    table = xr.Dataset(
        {
            "value": (("row", "design"), [list(values)]),
            "uncertainty": (("row", "design"), [list(uncertainties)]),
        },
        coords={"answer": ("row", ["answer"]), "place": ("row", [""])},
    )
    return rank(table, quality)


@pytest.mark.parametrize(
    ("values", "says"),
    [
        ((5.0, -5.0), "a (5.0°), b (−5.0°); the difference, 0.0°, is smaller than the uncertainty"),
        ((5.0, -6.0), "a (5.0°) is better than b (−6.0°), by 1.0° (uncertainty 0.8°)."),
        ((-6.0, 5.0), "b (5.0°) is better than a (−6.0°), by 1.0° (uncertainty 0.8°)."),
    ],
)
def test_nearness_to_zero_is_what_is_told_apart(values, says):
    assert says in ranking_sentence(("a", "b"), ranking(values, (0.4, 0.4)))


def test_what_is_said_of_three_holds_for_each_pair():
    """b is best; a cannot be told from it, but nor from c: only b against c is claimed."""
    sentence = ranking_sentence(("a", "b", "c"), ranking((1.5, 1.0, 2.1), (0.4, 0.4, 0.4), "lower"))
    assert sentence == (
        "Quality: b (1.0°), which cannot be told from a (1.5°), is better than c (2.1°), by 1.1° "
        "(uncertainty 0.8°)."
    )


def test_a_draw_of_three_is_measured_from_the_best():
    sentence = ranking_sentence(("a", "b", "c"), ranking((1.7, 1.0, 1.75), (0.4,) * 3, "lower"))
    assert "the difference, 0.8°, is smaller than the uncertainty, 0.8°" in sentence


def test_a_later_dip_that_is_deeper_is_told_and_counts(solve):
    """As `numbers_of` gives them: the first dip decides nothing where a later one is worse."""
    plain = compare([design("one", "a"), design("other", "b")], solve=solve)
    assert not any(r.quality.answer == "deepest_dip_depth" for r in plain.rankings)
    answers = xr.Dataset(
        {
            f"{name}_{what}": ("ear_height", [figure])
            for name, figures in (
                ("dip", (300.0, 3.0, "woofer")),
                ("deepest_dip", (900.0, 9.0, "mid")),
            )
            for what, figure in zip(("frequency", "depth", "driver"), figures, strict=True)
        }
    )
    first, deepest = floor_dips(("one",), (answers,))
    assert first == "The floor's first dip lies at 300 Hz in one (woofer)."
    assert deepest == "Its deepest up to 1.5 kHz lies at 900 Hz in one (mid), 9.0 dB deep."
    answers["deepest_dip_depth"] = answers.dip_depth + 0.9
    assert floor_dips(("one",), (answers,)) == [first]


def test_every_quality_is_in_the_table(solve):
    result = compare([design("one", "a"), design("other", "b")], solve=solve)
    assert [rank(result.table, quality) is not None for quality in QUALITIES] == [True] * len(
        QUALITIES
    )


def test_the_worst_place_decides(solve):
    result = compare([design("one", "a"), design("other", "b")], solve=solve)
    table = result.table.copy(deep=True)
    rows = np.flatnonzero(table.answer.values == "seat_ripple")
    table.value.values[rows] = [[1.0, 2.0], [5.0, 2.5]]
    quality = next(q for q in QUALITIES if q.answer == "seat_ripple")
    ranking = rank(table, quality)
    assert ranking.values == (5.0, 2.5)
    assert ranking.best == (1,)


def test_verdict_is_frozen(solve):
    result = compare([design("one", "a"), design("other", "b")], solve=solve)
    with pytest.raises(dataclasses.FrozenInstanceError):
        result.labels = ()
