"""What may be asked of a search for a layout, and how its unknowns are counted."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.model import FrequencyGrid
from acoustics.case.design.place_model import Delayed, Moved, Place
from acoustics.conventions import RoundoverError
from acoustics.crossover.branch import slopes_response
from acoustics.studies.layout_search.question import (
    checked_question,
    searched_crossovers,
    told_qualities,
)
from acoustics.studies.layout_search.sites import sites_of
from acoustics.studies.layout_search.variables import Variable, unknowns_of
from support.cases import make_case, make_driver, pass_branch

CASE = make_case(
    (make_driver("woofer", -0.06), make_driver("tweeter", 0.11)),
    crossover=(
        pass_branch("woofer", "low-pass", 2000.0),
        pass_branch("tweeter", "high-pass", 2000.0),
    ),
    path="some/case.toml",
)
BOTH = (Moved("woofer"), Moved("tweeter"))


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ({"moved": (Moved("woofer"), Moved("woofer"))}, "'woofer' is named twice; name it once"),
        ({"moved": (Moved("mid"),)}, "mid"),
        ({"aim": "sides", "against": "sides"}, "'sides' cannot be weighed against itself"),
        ({"aim": "lovely"}, "'lovely' is no aim"),
        ({"band": (900.0, 400.0)}, "a band from 900 Hz to 400 Hz is none; give the lower"),
        ({"band": (1.0, 400.0)}, "layouts cannot be judged"),
        ({"corners": ((1500.0, 2500.0), (4000.0, 5000.0))}, "spans for 2 crossovers.*for 1 .2 kHz"),
        ({"corners": ((2500.0, 1500.0),)}, "a span from 2500 to 1500 is none"),
        ({"delays": (Delayed("tweeter", (2e-4, 1e-4)),)}, "a span from 0.0002 to 0.0001 is none"),
    ],
)
def test_what_a_design_cannot_be_asked_is_told_with_its_file(asked, told):
    with pytest.raises(RoundoverError, match=told) as error:
        checked_question(CASE, Place(**asked))
    assert str(error.value).startswith("some/case.toml: ")


def test_a_floor_dip_needs_a_floor_and_frequencies_that_follow_it():
    without = replace(CASE, surfaces=())
    with pytest.raises(RoundoverError, match=r"no reflecting floor; add a table \[floor\]"):
        checked_question(without, Place(aim="floor dip"))
    assert "floor dip" not in told_qualities(without, Place())
    coarse = replace(CASE, frequencies=FrequencyGrid(20.0, 20_000.0, 3))
    assert "floor dip" not in told_qualities(coarse, Place())
    with pytest.raises(RoundoverError, match="'floor dip' cannot be told: "):
        checked_question(coarse, Place(aim="floor dip", smoothing=None))
    assert "floor dip" in told_qualities(CASE, Place())


def test_computed_filters_tell_no_layouts_apart_on_the_axis():
    branches = tuple(replace(each, slopes="acoustic", level=80.0) for each in CASE.crossover)
    with pytest.raises(RoundoverError, match="'ripple on axis' tells no layouts apart"):
        checked_question(replace(CASE, crossover=branches), Place(aim="ripple on axis"))
    assert checked_question(CASE, Place(aim="ripple on axis")).aim == "ripple on axis"


def test_a_passive_driver_has_no_delay():
    woofer, tweeter = CASE.crossover
    passive = replace(CASE, crossover=(woofer, replace(tweeter, sections=(), slopes="passive")))
    with pytest.raises(RoundoverError, match="'tweeter' hangs on the passive crossover"):
        checked_question(passive, Place(delays=(Delayed("tweeter", (0.0, 1e-4)),)))


def test_corners_that_may_change_places_are_refused():
    three = make_case(
        (make_driver("woofer", -0.1), make_driver("mid", 0.0), make_driver("tweeter", 0.1)),
        crossover=(
            pass_branch("woofer", "low-pass", 400.0),
            replace(
                pass_branch("mid", "high-pass", 400.0),
                sections=(
                    *pass_branch("mid", "high-pass", 400.0).sections,
                    *pass_branch("mid", "low-pass", 3000.0).sections,
                ),
            ),
            pass_branch("tweeter", "high-pass", 3000.0),
        ),
    )
    asked = Place(corners=((300.0, 1000.0), (1000.0, 4000.0)))
    with pytest.raises(RoundoverError, match="up to 1 kHz and from 1 kHz may change places"):
        checked_question(three, asked)
    apart = checked_question(three, replace(asked, corners=((300.0, 999.0), (1000.0, 4000.0))))
    found = searched_crossovers(three, apart)
    assert [each.frequency for each in found] == pytest.approx([400.0, 3000.0], rel=0.02)


def test_all_drivers_on_the_front_move_unless_some_are_named():
    assert checked_question(CASE, None).moved == BOTH
    only = (Moved("tweeter"),)
    assert checked_question(CASE, Place(moved=only)).moved == only
    behind = tuple(replace(driver, face="back") for driver in CASE.drivers)
    with pytest.raises(RoundoverError, match="no driver is on the front"):
        checked_question(replace(CASE, drivers=behind), None)


def test_a_share_of_a_span_is_even_in_metres_and_in_octaves():
    place = Variable("tweeter up", "up", 0, 0.02, 0.10, 0.05)
    corner = Variable("corner", "corner", 0, 1000.0, 4000.0, 2000.0)
    shares = np.array([0.0, 0.25, 0.5, 1.0])
    assert place.value(shares) == pytest.approx([0.02, 0.04, 0.06, 0.10])
    assert corner.value(shares) == pytest.approx([1000.0, 1000.0 * 2**0.5, 2000.0, 4000.0])
    for variable in (place, corner):
        assert variable.share(variable.value(shares)) == pytest.approx(shares)
    fixed = replace(place, high=0.02)
    assert fixed.share(np.array([0.02, 0.05])).tolist() == [0.0, 0.0]


def test_a_layout_is_a_row_of_places_corners_and_delays():
    """Against the branches written out: both corners an octave up, the tweeter 0.1 ms later."""
    asked = Place(
        moved=BOTH[1:],
        corners=((1000.0, 4000.0),),
        delays=(Delayed("tweeter", (0.0, 2e-4)),),
    )
    sites = sites_of(CASE, asked.moved)
    crossovers = searched_crossovers(CASE, asked)
    box = np.array([[-0.05, 0.05], [0.0, 0.15]])
    unknowns = unknowns_of(CASE, asked, sites, [box], crossovers)
    names = [(each.name, each.kind) for each in unknowns.variables]
    assert names == [
        ("tweeter right", "right"),
        ("tweeter up", "up"),
        ("corner", "corner"),
        ("tweeter delay", "delay"),
    ]
    # What moves comes first, then what only its filter changes.
    assert [CASE.drivers[n].name for n in unknowns.taken] == ["tweeter", "woofer"]
    present = crossovers[0].frequency
    row = np.array([0.01, 0.12, 2 * present, 1e-4])
    assert unknowns.tuning(row) == ((2 * present,), (1e-4,))
    assert unknowns.positions(row[None])[0].tolist() == [[0.01, 0.12]]
    woofer, tweeter = unknowns.branches(row)
    assert woofer.sections[0].high_corner == pytest.approx(4000.0, rel=1e-6)
    assert tweeter.sections[0].low_corner == pytest.approx(4000.0, rel=1e-6)
    assert (woofer.delay, tweeter.delay) == (0.0, 1e-4)
    frequency = np.array([500.0, 3000.0])
    own, other = unknowns.factors(row[None], frequency)
    assert own[0] == pytest.approx(
        slopes_response(tweeter, frequency) / slopes_response(CASE.crossover[1], frequency)
    )
    assert other.shape == (1, 2)
    still = unknowns_of(CASE, Place(moved=BOTH[1:]), sites, [box], ())
    assert still.factors(row[None], frequency) == [None]
