"""What is heard at once is what a prediction of the same draft gives, by another way.

A prediction solves forward, for the drivers as they sit; the engine in reverse, for listeners, and
then one driver at a time. Filters, sums and figures are held against the prediction too.
"""

from __future__ import annotations

import threading
import time
from dataclasses import replace

import numpy as np
import pytest

from acoustics.conventions import GeometryError
from acoustics.studies.live.draft import Edges
from acoustics.studies.live.drafts import draft_of
from acoustics.studies.live.engine import Engine
from acoustics.studies.live.exact import exact_curves
from acoustics.studies.live.stopping import Stopped
from support.live import narrow_case

WITHIN = 0.1
"""dB, where levels are within 20 dB of the loudest: what live curves may be off"""

FAINT = 0.03
"""dB, by what drivers 50 dB below the sum may change it, which are not heard anew"""

WAITING = 0.03
"""dB, by what drivers 30 dB below the sum that stand still may change it while another moves"""

BACK = 0.03
"""dB, what the rules of live fields leave of drivers that were moved and are back"""

CURVES = ("axis", "each", "window", "seat", "aside", "lobes")


@pytest.fixture(scope="module")
def case(tmp_path_factory):
    return narrow_case(tmp_path_factory.mktemp("live"))


@pytest.fixture(scope="module")
def engine(case):
    """An engine that has asked for the case as it is."""
    engine = Engine(case)
    engine.prepare(draft_of(case))
    yield engine
    engine.close()


def deviation(found, truth):
    """The largest difference of levels within 20 dB of each curve's loudest, dB."""
    worst = 0.0
    for name in CURVES:
        here, there = getattr(found, name), getattr(truth, name)
        counts = there > there.max(axis=-1, keepdims=True) - 20
        worst = max(worst, float(np.abs(here - there)[counts].max()))
    return worst


def test_as_drawn_it_is_the_prediction(case, engine):
    found, truth = engine.quick(draft_of(case)), exact_curves(case, draft_of(case))
    assert (found.state, found.missing) == ("live", "")
    assert deviation(found, truth) < 0.01
    for name in ("frequency", "angles", "heights"):
        np.testing.assert_allclose(getattr(found, name), getattr(truth, name))
    assert found.figures == pytest.approx(dict(truth.figures), abs=0.01, nan_ok=True)


def test_moved_and_tuned_it_is_the_prediction(case, engine):
    draft = replace(
        draft_of(case),
        places=((0.03, 0.105), (-0.01, -0.05)),
        corners=(1900.0,),
        delays=(3e-5, 1e-5),
    )
    found, truth = engine.quick(draft), exact_curves(case, draft)
    assert found.state == "live"
    assert deviation(found, truth) < WITHIN
    assert found.figures == pytest.approx(dict(truth.figures), abs=WITHIN, nan_ok=True)
    assert deviation(engine.quick(draft_of(case)), truth) > 1.0


def test_corners_and_delays_are_set_where_drivers_were(case, engine):
    draft = replace(draft_of(case), corners=(1500.0,), delays=(0.0, 8e-5))
    found, truth = engine.quick(draft), exact_curves(case, draft)
    assert found.state == "live"
    assert deviation(found, truth) < BACK


def test_heights_are_heard_where_the_crossover_goes(case, engine):
    # The narrow band has several blocks: heights are heard anew in those that a look needs.
    moved = replace(draft_of(case), places=((0.01, 0.11), (0.0, -0.03)))
    for corner in (1200.0, 2500.0, 1600.0):
        draft = replace(moved, corners=(corner,))
        found, truth = engine.quick(draft), exact_curves(case, draft)
        np.testing.assert_allclose(found.looks, truth.looks, rtol=1e-3)
        assert deviation(found, truth) < WITHIN
        for name in ("lobe low", "lobe high"):
            assert found.figures[name] == pytest.approx(truth.figures[name], abs=0.01, nan_ok=True)


def test_small_steps_of_the_axis_add_up_to_no_error(case, engine):
    # Within two millimetres what does not move is heard as before; far off it is not.
    for step in range(30):
        draft = replace(draft_of(case), places=((0.001 * step, 0.125), (0.0, -0.02)))
        found = engine.quick(draft)
    assert deviation(found, exact_curves(case, draft)) < WITHIN


def test_what_stands_still_and_is_faint_waits_until_the_hand_rests(tmp_path):
    case = narrow_case(tmp_path, "4.5 kHz")
    low = replace(draft_of(case), corners=(1000.0,))
    draft = replace(low, places=((0.02, 0.11), low.places[1]))
    engine = Engine(case)
    engine.quick(low)
    moving, resting, again = (engine.quick(draft) for _ in range(3))
    engine.close()
    assert 1e-6 < deviation(moving, resting) < WAITING
    assert deviation(resting, again) == 0.0


def test_figures_are_left_out_where_nobody_wants_them(case, engine):
    draft = draft_of(case)
    bare, whole = engine.quick(draft, figured=False), engine.quick(draft)
    assert not bare.figures
    assert whole.figures
    for name in CURVES:
        np.testing.assert_array_equal(getattr(bare, name), getattr(whole, name))


def test_moved_to_either_side_it_is_heard_as_in_a_mirror(case, engine):
    right, left = (
        engine.quick(replace(draft_of(case), places=((side * 0.02, 0.12), (0.0, -0.02))))
        for side in (1, -1)
    )
    np.testing.assert_allclose(right.aside, left.aside[::-1], atol=FAINT)
    np.testing.assert_allclose(right.axis, left.axis, atol=FAINT)
    assert np.abs(right.aside - left.aside).max() > 0.1


def test_a_driver_that_comes_back_sounds_as_before(case, engine):
    first = engine.quick(draft_of(case))
    engine.quick(replace(draft_of(case), places=((0.01, 0.12), (0.0, -0.03))))
    again = engine.quick(draft_of(case))
    for name in CURVES:
        np.testing.assert_allclose(getattr(first, name), getattr(again, name), atol=FAINT)


def test_other_ears_and_edges_are_coarse_until_they_are_asked_for(case, engine):
    there = replace(draft_of(case), ear_height=1.2)
    assert not engine.ready(there)
    found = engine.quick(there)
    assert found.state == "coarse"
    assert "the ears were before" in found.missing
    rounded = engine.quick(replace(draft_of(case), edges=Edges("rounded", 0.01)))
    assert rounded.state == "coarse"
    assert "edges" in rounded.missing


def test_an_axis_far_from_where_its_listeners_asked_is_coarse(case, engine):
    near, far = (
        engine.quick(replace(draft_of(case), places=((right, 0.125), (0.0, -0.02))))
        for right in (0.05, 0.07)
    )
    assert near.state == "live"
    assert far.state == "coarse"
    assert "the reference axis was before" in far.missing


def test_places_where_nothing_can_be_heard_are_refused(case, engine):
    for places in [((0.105, 0.125), (0.0, -0.02)), ((0.0, -0.02), (0.0, -0.03))]:
        with pytest.raises(GeometryError):
            engine.quick(replace(draft_of(case), places=places))


def test_it_answers_while_it_prepares_and_says_what_is_missing(case):
    engine, shares = Engine(case), []
    draft = draft_of(case)
    behind = threading.Thread(target=engine.prepare, args=(draft,), kwargs={"told": shares.append})
    behind.start()
    found = engine.quick(draft)
    assert found.state == "coarse"
    assert "more than one edge" in found.missing
    behind.join()
    assert engine.ready(draft)
    assert engine.quick(draft).state == "live"
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    engine.close()


def test_it_stops_when_nobody_waits(case):
    engine, draft, asked = Engine(case), draft_of(case), []

    def later() -> bool:
        asked.append(time.monotonic())
        return len(asked) > 20

    with pytest.raises(Stopped):
        engine.prepare(draft, later)
    assert not engine.ready(draft)
    assert engine.quick(draft).state == "coarse"
    engine.close()
