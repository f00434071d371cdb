"""The rules of a layout, and the words in which those that conflict are told."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.enclosure_model import Port
from acoustics.case.design.model import Cabinet, Seat, SeatPlace
from acoustics.case.design.place_model import Moved, Place
from acoustics.conventions import RoundoverError
from acoustics.studies.layout_search.places import allowed_places, broken
from acoustics.studies.layout_search.rules import axis_driver, rules_of
from acoustics.studies.layout_search.sites import sites_of
from support.boxes import FS, parameters, vented
from support.cases import make_case, make_driver, pass_branch

CABINET = Cabinet(0.22, 0.38, 0.30, 0.6, wall_thickness=0.018)
DRIVERS = (
    make_driver("woofer", -0.06, piston_diameter=0.12, frame_diameter=0.16, cutout_diameter=0.14),
    make_driver("tweeter", 0.11, frame_diameter=0.10, cutout_diameter=0.07),
)
CASE = make_case(
    DRIVERS,
    cabinet=CABINET,
    seat=Seat((SeatPlace("main", 2.5),), (0.9,)),
    crossover=(
        pass_branch("woofer", "low-pass", 2000.0),
        pass_branch("tweeter", "high-pass", 2000.0),
    ),
)
BOTH = (Moved("woofer"), Moved("tweeter"))


def allowed(case, **asked):
    place = Place(**({"moved": BOTH} | asked))
    sites = sites_of(case, place.moved)
    rules = rules_of(case, place, sites)
    return allowed_places(sites, rules, "case"), rules


def test_frames_stay_on_the_face_and_cut_outs_within_the_walls():
    """By hand: 110 − 18 − 70 = 22 mm for the woofer's hole, 57 mm for the tweeter's."""
    found, _ = allowed(CASE)
    widest = [np.abs(places[:, 0]).max() for places in found.places]
    np.testing.assert_allclose(widest, [0.020, 0.055], atol=1e-9)  # the next of every 2.5 mm
    assert found.boxes[0][0] == pytest.approx([-0.0225, 0.0225])
    without, _ = allowed(replace(CASE, cabinet=replace(CABINET, wall_thickness=None)))
    assert np.abs(without.places[0][:, 0]).max() == pytest.approx(0.0275)


def test_a_gap_is_kept():
    found, rules = allowed(CASE, gap=0.02)
    assert np.abs(found.places[1][:, 0]).max() == pytest.approx(0.040)  # 110 − 50 − 20
    touching = [np.array([0.0, -0.06]), np.array([0.0, 0.08])]
    assert any("each other" in words for words in broken(rules, touching))
    assert broken(rules, [np.array([0.0, -0.06]), np.array([0.0, 0.0911])]) == ()
    # (160 + 100) / 2 + 20 = 150 mm: just what is asked is enough, but frames alone may not touch.
    assert broken(rules, [np.array([0.0, -0.06]), np.array([0.0, 0.09])]) == ()
    _, rules = allowed(CASE)
    assert broken(rules, [np.array([0.0, -0.06]), np.array([0.0, 0.07])])


def test_the_ear_height_holds_the_driver_of_the_axis():
    assert CASE.drivers[axis_driver(CASE)].name == "tweeter"
    found, _ = allowed(CASE, ear_height=(0.90, 0.92))
    # The base is 600 mm above the floor, the face's middle 190 mm above that.
    up = found.places[1][:, 1]
    assert (up.min(), up.max()) == pytest.approx((0.11, 0.13))


def test_a_port_on_the_front_is_in_the_way():
    case = vented(parameters(FS, 0.38), 1.5, 1.0, 7.0)
    (box,) = case.enclosures
    port = Port("front", (0.05,), 0.1, (0.0, -0.05))
    case = replace(case, enclosures=(replace(box, ports=(port,)),))
    name = case.drivers[0].name
    place = Place(moved=(Moved(name),))
    rules = rules_of(case, place, sites_of(case, place.moved))
    said = broken(rules, [np.array([0.0, -0.05])])
    assert any("port 'front'" in words for words in said)


def test_two_rules_that_conflict_are_named_with_numbers():
    spans = (Moved("woofer"), Moved("tweeter", up=(0.0, 0.08)))
    with pytest.raises(RoundoverError) as told:
        allowed(CASE, moved=spans, ear_height=(0.90, 0.95))
    said = str(told.value)
    assert "the ear height asks that 'tweeter' is 900 mm to 950 mm above" in said
    assert "110 mm to 160 mm up from the face's middle" in said
    assert "[place.drivers.tweeter] up allows 0 mm to 80 mm" in said
    assert "frame" not in said
    assert "no place keeps to both. Ways out: a wider span in [place.drivers.tweeter] up" in said
    assert said.endswith("ear_height or another cabinet.base_height")


def test_a_single_rule_that_leaves_nothing_is_named_alone():
    with pytest.raises(RoundoverError) as told:
        allowed(CASE, ear_height=(1.2, 1.3))
    said = str(told.value)
    assert "the ear height" in said
    assert "1200 mm to 1300 mm" in said
    assert "cut-out" not in said
    assert "allows" not in said


def test_frames_that_may_not_be_apart_enough_are_named():
    with pytest.raises(RoundoverError) as told:
        allowed(CASE, apart=0.1)
    said = str(told.value)
    assert "apart allows at most 100 mm" in said
    assert "130 mm from centre to centre" in said
    assert "face" not in said


def test_three_rules_that_only_together_leave_nothing_are_named():
    spans = (Moved("woofer", up=(-0.08, -0.07)), Moved("tweeter", up=(0.10, 0.12)))
    with pytest.raises(RoundoverError) as told:
        allowed(CASE, moved=spans, apart=0.14)
    said = str(told.value)
    for words in ("[place.drivers.woofer] up", "[place.drivers.tweeter] up", "apart allows"):
        assert words in said
    assert "cut-out" not in said


def test_of_many_rules_that_conflict_none_is_named_in_vain():
    """The woofer 110 mm aside at most, 40 mm apart in height: 117 mm, and 130 mm are needed."""
    moved = (
        Moved("woofer", up=(-0.02, 0.02)),
        Moved("tweeter", right=(0.0, 0.0), up=(-0.02, 0.02)),
    )
    with pytest.raises(RoundoverError) as caught:
        allowed(CASE, moved=moved)
    words = str(caught.value)
    for part in ("[place.drivers.woofer] up", "[place.drivers.tweeter] up", "] right", "130 mm"):
        assert part in words
    assert "cut-out" not in words
    assert "on its face" not in words


def test_a_driver_that_does_not_move_has_its_height():
    with pytest.raises(RoundoverError, match="does not move"):
        allowed(CASE, moved=(Moved("woofer"),), ear_height=(1.0, 1.1))
