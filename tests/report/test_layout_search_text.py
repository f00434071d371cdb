"""A search for a layout in words: where, what it gains and costs, how exactly, before and after."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.model import Aim, Cabinet, FrequencyGrid, ReferenceAxis, Rounding
from acoustics.prediction import predict
from acoustics.report.layout_figures import Improved
from acoustics.report.layout_search import layout_text
from acoustics.studies.layout_search.answer import Freedom
from support.cases import make_case
from support.layouts import BEST, END, ROUNDED, START, found_of

LOUD = Aim("loud", "level", "reference axis", (300.0, 10e3), None, 60.0, None)


@pytest.fixture(scope="module")
def told(solve_baffled_piston):
    """`told(found, stays=False, **changes)`: the text in one line, and its widest line."""
    predicted = {}

    def of(found, *, stays=False, **changes):
        case = make_case(
            **{"aims": (LOUD,), "frequencies": FrequencyGrid(per_octave=12), **changes}
        )
        drivers = tuple(
            replace(each, position=found.best.positions[each.name]) for each in case.drivers
        )
        axis = ReferenceAxis(found.best.positions["tweeter"], 2.0)
        new = replace(case, drivers=drivers, reference=axis, digest="1" * 64)
        both = []
        for each in (case, new):
            if each not in predicted:
                predicted[each] = predict(each, solve=solve_baffled_piston)
            both.append(predicted[each])
        improved = None if stays else Improved(new, both[1])
        text = layout_text(case, found, both[0], improved)
        return " ".join(text.split()), max(map(len, text.splitlines()))

    return of


def test_the_verdict_is_first_and_a_builder_can_mark_it(told):
    text, widest = told(found_of())
    assert widest <= 88
    start = "made by hand ============ Where should the drivers sit? The tweeter 30 mm right and "
    assert text.startswith(f"{start}120.5 mm up, counted from the middle of the front face. So")
    assert "the ripple off axis falls from 2.00 dB to 1.20 dB, by 0.80 dB" in text
    assert text.index("Can it be heard?") < text.index("Where to mark the centres")
    # 110 + 30 = 140 mm from the left, 190 − 120.5 = 69.5 mm from the top of 220 by 380 mm.
    assert "best 30.0 120.5 140.0 69.5" in text
    assert "now 0.0 100.0 110.0 90.0" in text


def test_edges_that_are_cut_do_not_move_the_rule(told):
    cut = tuple(Rounding(edge, radius) for edge, radius in ROUNDED.rounds)
    text, _ = told(found_of(), cabinet=Cabinet(0.22, 0.38, 0.30, 0.6, rounds=cut))
    assert "best 30.0 120.5 140.0 69.5" in text
    assert "Edges" not in text


def test_it_says_how_exactly_and_what_the_other_aim_costs(told):
    text, _ = told(found_of())
    assert "before the ripple off axis is worse by more than 0.12 dB" in text
    assert "tweeter right: 30.0 mm, from 27.0 mm to 32.5 mm (a rule ends it to the right)." in text
    assert "tweeter up: 120.5 mm, from 110.0 mm to 120.5 mm (rules end it both ways)." in text
    assert "woofer right: 0.0 mm, held there." in text
    assert (
        "From the best to the knee: 0.50 dB less difference of left and right cost 0.30 dB more "
        "ripple off axis. There: tweeter 10 mm right and 110 mm up; woofer 50 mm down." in text
    )
    assert "From the knee to the other end: 0.20 dB less difference" in text
    assert "The aim has its price: 0.70 dB more difference of left and right." in text
    few, _ = told(found_of(front=(BEST,), knee=0))
    assert "nothing is given up" in few
    alone, _ = told(
        found_of(front=(), knee=None, question=replace(found_of().question, against=None))
    )
    assert "other aim" not in alone


def test_aims_of_the_case_are_held_before_and_after(told):
    text, _ = told(found_of())
    assert "Now: meets its one point. With the best layout: meets its one point." in text
    assert "No point changes between met and missed." in text
    assert "From the reference axis that each case has, which moves with its driver: ripple" in text


def test_it_tells_treatments_rules_broken_and_what_it_rests_on(told):
    treatment = np.repeat([0, 1], 150)
    aims = np.concatenate([np.full((150, 2), 1.5), np.full((150, 2), 1.3)])
    found = found_of(
        treatments=(None, ROUNDED),
        archive_aims=aims,
        archive_treatment=treatment,
        broken=("the frames touch",),
    )
    rounded = replace(found, best=replace(BEST, treatment=ROUNDED))
    text, _ = told(rounded)
    assert "Edges of the cabinet: 'rounded'." in text
    # The gain is not that of the places alone.
    assert "front face. So, with what else changes below, heard from the reference axis" in text
    assert "as the case has them 1.50 1.50 rounded 1.30 1.30" in text
    assert "What the present layout breaks ------------------------------ - the frames" in text
    for words in (
        "300 Hz to 10 kHz, 1/6 octave",
        "300 layouts",
        "0.004 dB",
        "Seed 1",
        "stay where",
    ):
        assert words in text


def test_a_span_that_ends_both_ways_is_told_once(told):
    held = Freedom("tweeter up", "m", 0.1205, 0.12, 0.121, "span", "span", ((0.1205, 1.2),) * 3)
    text, _ = told(found_of(freedom=(held,)))
    assert "from 120.0 mm to 121.0 mm (its span ends both ways)." in text


def test_a_gap_too_thin_and_a_tweeter_far_from_ears_are_told_only_where_due(told):
    text, _ = told(found_of())
    assert "Frames come closer" not in text
    edge = replace(BEST, positions={**BEST.positions, "tweeter": (0.094, 0.1205)})
    text, _ = told(found_of(best=edge))
    assert "Frames come closer than 3 mm" in text
    low = replace(BEST, positions={"tweeter": (0.0, -0.15), "woofer": (0.0, -0.05)})
    text, _ = told(found_of(best=low))
    assert "above the floor, and ears are at" in text


def test_where_nothing_is_better_that_is_the_answer(told):
    text, _ = told(found_of(best=START, gain=0.0, front=(START, END)), stays=True)
    assert "Where they are: of the layouts that keep to the rules none was found" in text
    assert "No new case is written." in text
    assert "Can it be heard?" not in text
    assert "Look at this first" not in text
