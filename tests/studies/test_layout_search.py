"""Looking for layouts: against maps and predictions, symmetry, and closed forms."""

from __future__ import annotations

import itertools
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

import acoustics as ac
from acoustics.case.design.model import (
    Cabinet,
    FrequencyGrid,
    ReferenceAxis,
    Seat,
    SeatPlace,
    Surface,
)
from acoustics.case.design.place_model import Delayed, Moved, Place, Treatment
from acoustics.conventions import RoundoverError
from acoustics.listening import window_ripple
from acoustics.prediction import predict
from acoustics.studies.layout_search import changed_keys, layout_dataset, search_layout
from acoustics.studies.layout_search.crossovers import crossovers_of
from acoustics.studies.layout_search.optimiser import not_beaten
from support.cases import make_case, make_driver, pass_branch

GRID = FrequencyGrid(lowest=250.0, highest=3500.0, per_octave=6)
BAND = (300.0, 3000.0)
QUICK = {
    "frequencies": GRID,
    "arc_step": 10.0,
    "accuracy": 0.3,
    "seat": Seat((SeatPlace("main", 2.5),), (0.9,)),
}
DRIVERS = (
    make_driver("woofer", -0.06, piston_diameter=0.12, frame_diameter=0.15, acoustic_depth=0.02),
    make_driver("tweeter", 0.10, frame_diameter=0.06),
)
CASE = make_case(
    DRIVERS,
    **QUICK,
    crossover=(
        pass_branch("woofer", "low-pass", 2000.0),
        pass_branch("tweeter", "high-pass", 2000.0),
    ),
)
PLACE = Place(band=BAND, smoothing=3.0, window=10.0)


@cache
def both_moved():
    return search_layout(CASE, PLACE)


def placed(case, layout):
    """The case with a layout's places, through nothing of the search's own."""
    return replace(
        case,
        drivers=tuple(
            replace(driver, position=layout.positions.get(driver.name, driver.position))
            for driver in case.drivers
        ),
    )


@pytest.mark.slow
def test_the_best_is_no_worse_than_the_present_layout():
    found = both_moved()
    assert found.gain > 0
    assert not found.broken
    assert found.gain == pytest.approx(
        found.start.figures["ripple off axis"] - found.best.figures["ripple off axis"]
    )
    assert found.deviation < 0.05
    assert found.tried > 500


@pytest.mark.slow
def test_the_best_keeps_to_the_rules():
    (woofer, tweeter) = (np.array(both_moved().best.positions[d]) for d in ("woofer", "tweeter"))
    assert np.hypot(*(woofer - tweeter)) >= (0.15 + 0.06) / 2
    for place, radius in ((woofer, 0.075), (tweeter, 0.03)):
        assert (np.abs(place) <= np.array([0.11, 0.19]) - radius).all()
        np.testing.assert_allclose(place / 5e-4, np.round(place / 5e-4), atol=1e-6)


@pytest.mark.slow
def test_the_same_seed_gives_the_same_answer_on_one_core(monkeypatch):
    for where in ("optimiser", "table"):
        monkeypatch.setattr(f"acoustics.studies.layout_search.{where}.usable_cores", lambda: 1)
    again = search_layout(CASE, PLACE)
    assert again.best == both_moved().best
    assert again.front == both_moved().front
    np.testing.assert_array_equal(again.archive, both_moved().archive)


@pytest.mark.slow
def test_no_layout_of_the_front_is_beaten():
    front = both_moved().front
    assert len(front) > 2
    for one, other in itertools.permutations(front, 2):
        worse = [one.figures[name] > other.figures[name] for name in ("ripple off axis", "sides")]
        assert not all(worse)
    assert front[0].figures == both_moved().best.figures
    assert 0 <= both_moved().knee < len(front)
    # What is symmetrical sounds alike to both sides, so that end is known.
    assert front[-1].figures["sides"] < 0.02


def test_what_is_better_by_rounding_alone_is_on_no_front():
    """Sides of layouts on the middle line: 0 dB but for noise."""
    aims = np.array([[1.9, 2.6e-7], [2.0, 2.1e-7], [1.5, 0.6], [2.1, 1.2e-7], [1.8, 0.4]])
    assert not_beaten(aims).tolist() == [2, 4, 0]


@pytest.mark.slow
def test_each_value_has_its_room():
    """Half a step beyond an end that the aim sets, the aim is worse by more than told."""
    found = both_moved()
    assert {each.name for each in found.freedom} == {
        "woofer right", "woofer up", "tweeter right", "tweeter up",
    }  # fmt: skip
    for each in found.freedom:
        assert each.low <= each.value <= each.high
    within = found.within
    assert within == pytest.approx(max(0.1, 0.1 * found.best.figures["ripple off axis"]), rel=0.05)


@pytest.mark.slow
def test_figures_are_those_of_a_prediction():
    """Reference: `predict`, which solves every layout afresh and shares nothing of the search."""
    found = search_layout(CASE, replace(PLACE, window=30.0, against=None))
    for layout in (found.start, found.best):
        truth = window_ripple(predict(placed(CASE, layout)), BAND, 3.0)
        assert layout.figures["ripple off axis"] == pytest.approx(
            float(truth.worst_ripple), abs=0.05
        )
        assert layout.figures["common ripple"] == pytest.approx(
            float(truth.common_ripple), abs=0.05
        )


@pytest.mark.slow
def test_one_driver_alone_ends_where_its_map_is_best():
    """Reference: the placement map, which has tests of its own, at every 10 mm."""
    place = replace(PLACE, against=None, moved=(Moved("tweeter"),), aim="common ripple")
    found = search_layout(CASE, place)
    mapped = ac.placement_map(
        CASE, "tweeter", spacing=0.01, band=BAND, smoothing=3.0, window=10.0, by="common_ripple"
    )
    assert (
        found.best.figures["common ripple"]
        <= float(mapped.spot_common_ripple.sel(spot="best")) + 0.005
    )
    present = mapped.sel(spot="present")
    assert found.start.figures["common ripple"] == pytest.approx(
        float(present.spot_common_ripple), abs=1e-6
    )
    assert found.start.figures["ripple off axis"] == pytest.approx(
        float(present.spot_relative_ripple), abs=1e-6
    )
    assert found.start.figures["sides"] == pytest.approx(
        float(present.spot_side_difference), abs=1e-6
    )
    assert found.start.figures["seat level"] == pytest.approx(
        float(present.spot_seat_level.squeeze()), abs=1e-6
    )


@pytest.mark.slow
def test_a_single_driver_ends_on_the_line_of_symmetry():
    """By symmetry: heard from points that lie alike on both sides, sides agree in the middle."""
    case = make_case(
        (make_driver("only", 0.05, position=(0.04, 0.05)),),
        **QUICK,
        crossover=(),
        reference=ReferenceAxis((0.0, 0.05), 2.0),
    )
    found = search_layout(case, replace(PLACE, aim="sides", against=None))
    assert abs(found.best.positions["only"][0]) <= 0.5e-3
    assert found.best.figures["sides"] < 0.02 < found.start.figures["sides"]


@pytest.mark.slow
def test_two_points_on_a_large_baffle_meet_where_the_formula_says():
    """Closed form: two points in a baffle without end add up as in free air, each twice as loud.

    Played alike, their ripple off the axis upward is that of cos(½kd sin 10°), least for the least
    distance d that the frames allow: they end side by side or touching, 80 mm apart.
    """
    pair = (
        make_driver("one", -0.15, piston_diameter=0.01, frame_diameter=0.08),
        make_driver("other", 0.15, piston_diameter=0.01, frame_diameter=0.08),
    )
    case = make_case(
        pair,
        **QUICK,
        crossover=(),
        cabinet=Cabinet(6.0, 6.0, 0.3, 0.6),
        reference=ReferenceAxis((0.0, 0.0), 2.0),
    )
    span = (-0.16, 0.16)
    moved = (Moved("one", (0.0, 0.0), span), Moved("other", (0.0, 0.0), span))
    found = search_layout(case, replace(PLACE, moved=moved, aim="ripple off axis", against=None))
    up = [found.best.positions[name][1] for name in ("one", "other")]
    assert abs(up[0] - up[1]) == pytest.approx(0.08, abs=1e-3)
    assert abs(sum(up)) < 0.012


@pytest.mark.slow
def test_corners_and_delays_move_with_the_places():
    place = replace(
        PLACE,
        aim="common ripple",
        against=None,
        corners=((1500.0, 2600.0),),
        delays=(Delayed("tweeter", (0.0, 1e-4)),),
    )
    found = search_layout(CASE, place)
    assert 1500.0 <= found.best.corners[0] <= 2600.0
    assert 0.0 <= found.best.delays["tweeter"] <= 1e-4
    (crossover,) = crossovers_of(CASE)
    assert crossover.frequency == pytest.approx(2000.0)
    keys = changed_keys(CASE, found)
    corner = found.best.corners[0]
    assert {key for key in keys if key.startswith("crossover.")} == {
        "crossover.tweeter.sections.1.frequency",
        "crossover.woofer.sections.1.frequency",
        "crossover.tweeter.delay",
    }
    assert keys["crossover.woofer.sections.1.frequency"] == f"{corner:.6g} Hz"
    # The figure is that of a design with these filters, without the search.
    branches = tuple(
        replace(pass_branch(name, kind, corner), delay=found.best.delays.get(name, 0.0))
        for name, kind in (("woofer", "low-pass"), ("tweeter", "high-pass"))
    )
    by_hand = replace(placed(CASE, found.best), crossover=branches)
    still = search_layout(
        by_hand,
        replace(
            PLACE, aim="common ripple", against=None, moved=(Moved("tweeter", *(
                (at, at) for at in found.best.positions["tweeter"]
            )),)
        ),
    )  # fmt: skip
    assert still.start.figures["common ripple"] == pytest.approx(
        found.best.figures["common ripple"], abs=0.01
    )


@pytest.mark.slow
def test_edges_are_tried_and_told():
    round_off = Treatment("20 mm all round", rounds=tuple(
        (edge, 0.02) for edge in ("front left", "front right", "front top", "front bottom")
    ))  # fmt: skip
    place = replace(PLACE, against=None, treatments=(round_off,), moved=(Moved("tweeter"),))
    found = search_layout(CASE, place)
    assert found.treatments == (None, round_off)
    assert set(found.archive_treatment) == {0, 1}
    least = int(found.archive_aims[:, 0].argmin())
    assert found.best.treatment == found.treatments[found.archive_treatment[least]]
    dataset = layout_dataset(CASE, found)
    assert set(dataset.tried_treatment.values) == {"as the case has them", "20 mm all round"}
    assert dataset.sizes["judged"] == found.tried


@pytest.mark.slow
def test_the_seat_and_the_floor_judge_too():
    case = replace(CASE, surfaces=(Surface("floor", 0.0),))
    place = replace(PLACE, aim="seat level", against="floor dip", moved=(Moved("woofer"),), seed=3)
    found = search_layout(case, place)
    assert found.gain >= 0
    assert found.best.figures["seat level"] >= found.start.figures["seat level"]
    assert found.front[-1].figures["floor dip"] <= found.best.figures["floor dip"]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"aim": "floor dip"}, "no reflecting floor"),
        ({"aim": "sides"}, "weighed against itself"),
        ({"moved": (Moved("tweter"),)}, "did you mean 'tweeter'"),
        ({"moved": (Moved("tweeter"), Moved("tweeter"))}, "named twice"),
        ({"corners": ((1e3, 2e3), (3e3, 4e3))}, "2 crossovers"),
        ({"band": (100.0, 3000.0)}, "change the band"),
    ],
)
def test_what_cannot_be_answered_is_said(change, words):
    with pytest.raises(RoundoverError, match=words):
        search_layout(replace(CASE, surfaces=()), replace(PLACE, **change))


def test_a_ripple_that_filters_take_away_is_no_aim():
    branches = tuple(replace(each, slopes="acoustic", level=80.0) for each in CASE.crossover)
    with pytest.raises(RoundoverError, match="every filter is computed"):
        search_layout(replace(CASE, crossover=branches), replace(PLACE, aim="ripple on axis"))
