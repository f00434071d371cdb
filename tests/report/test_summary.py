"""The summary says what was found, what it rests on and whether it is good."""

from __future__ import annotations

from typing import get_args

import pytest

from acoustics.case.model import Aim, Cabinet, FrequencyGrid, Measure, Seat
from acoustics.listening import first_answers
from acoustics.prediction import predict
from acoustics.report.advice import MOVES
from acoustics.report.findings import over_the_floor
from support.cases import make_case

AIMS = (
    Aim("audible", "level", "reference axis", (300.0, 10_000.0), 6.0, 20.0, None),
    Aim("deafening", "level", "seat", (300.0, 10_000.0), 6.0, 150.0, None),
    Aim("too wide a band", "ripple", "reference axis", (1.0, 10_000.0), 6.0, None, 3.0),
)


def test_first_lines_say_whether_it_is_good(summed_up):
    text = summed_up(aims=AIMS, title="Two-way", one_line=False)
    title, underline, _, answer = text.splitlines()[:4]
    assert (title, underline) == ("Two-way", "=======")
    assert answer.startswith(
        "Is it good? Not yet: it meets 1 of its 3 aims; missed: deafening (by "
    )


@pytest.mark.parametrize(
    ("aims", "answer"),
    [
        (AIMS[:1], "Is it good? Yes, by its own aims: all 1 are met."),
        (AIMS[2:], "Is it good? Not known: it meets 0 of its 1 aims; not known: too wide a band."),
        ((), "Is it good? The case file names no aims, so nothing decides"),
    ],
)
def test_verdict_in_a_sentence(summed_up, aims, answer):
    assert answer in summed_up(aims=aims)


def test_aims_are_listed_with_figures(summed_up):
    text = summed_up(aims=AIMS)
    assert "met: audible: level " in text
    assert "(asked: at least 20.0 dB)" in text
    assert "MISSED: deafening: level " in text
    assert "(asked: at least 150.0 dB), missed by " in text
    assert "not known: too wide a band: ripple no figure (asked: at most 3.0 dB); " in text


def test_note_and_limits_are_passed_on(summed_up):
    text = summed_up(note="Invented for this test.", error=0.07)
    assert "The design's own note: Invented for this test." in text
    assert "Drivers have no low-frequency roll-off here: " in text
    assert "The cabinet is rigid, with sharp edges" in text
    assert "mirror image, times 1." in text
    assert "puts its own error at no more than 0.07 dB" in text
    assert "Air at 20 °C" in text


@pytest.mark.parametrize(
    ("base", "says"),
    [(0.0, "The cabinet stands on the floor; "), (0.02, "stands 20 mm above the floor; ")],
)
def test_mirrored_body_is_named_as_left_out(summed_up, base, says):
    text = summed_up(cabinet=Cabinet(0.22, 0.38, 0.30, base))
    assert says in text
    assert "act as one larger body is not included" in text


def test_on_a_stand_nothing_is_said_of_the_mirrored_body(summed_up):
    assert "larger body" not in summed_up()


def test_without_a_floor(summed_up):
    text = summed_up(floor=None)
    assert "The case has no floor." in text
    assert "There is no floor and no room" in text
    assert "first dip" not in text


def test_floor_dip_by_hand(summed_up, make_driver):
    """Point source 1 m and ear 1 m above a hard floor, 2 m apart: √(2² + 2²) − 2 = 0.8284 m.

    First cancellation at c/(2·0.8284 m) with c = 343 m/s: 207 Hz; 20·lg(1 − 2/√8) = 10.7 dB.
    """
    text = summed_up(
        drivers=[make_driver("wide-band", 0.0)],
        cabinet=Cabinet(0.22, 0.38, 0.30, 0.81),
        seat=Seat(2.0, (1.0,)),
    )
    assert "Ears at 1.00 m: first dip at 207 Hz, 10.7 dB deep (wide-band)." in text
    assert "One driver plays everything, so there is no lobing." in text


def test_crossover_lobe_and_room_for_the_ears(summed_up):
    text = summed_up()
    assert "woofer to tweeter at 2.5 kHz: the main lobe points " in text
    assert "Within 3 dB of the level at the ears: " in text
    assert "(ears at 0.90 m)" in text


def test_a_handover_outside_the_predicted_frequencies_is_no_absence_of_lobing(summed_up):
    """Nor are two drivers that play everything together."""
    cut = summed_up(frequencies=FrequencyGrid(20.0, 1000.0, 24))
    together = summed_up(crossover=())
    for text in (cut, together):
        assert "No handover from one driver to another lies within the predicted freq" in text
        assert "so there is no lobing" not in text


def test_arcs_too_coarse_for_the_lobes_are_said(summed_up):
    assert "too coarse to follow the lobes" not in summed_up(arc_step=2.0)
    text = summed_up(arc_step=45.0)
    assert "the arc's steps are too coarse to follow the lobes" in text
    assert "the main lobe points" not in text


def test_ears_with_the_same_window_are_named_together(summed_up):
    text = summed_up(seat=Seat(2.5, (0.9, 0.901)))
    assert "(ears at 0.90 and 0.90 m)" in text


def test_deepest_dip_is_told_where_it_is_deeper(solve_free_field):
    case = make_case()
    prediction = predict(case, solve=solve_free_field)
    answers = first_answers(case, prediction)
    answers["dip_depth"] = ("ear_height", [3.0, 3.0])
    answers["deepest_dip_depth"] = ("ear_height", [3.9, 4.1])
    answers["deepest_dip_frequency"] = ("ear_height", [900.0, 900.0])
    low, high = over_the_floor(answers, prediction)
    assert "deepest" not in low
    assert "; deepest up to 1.5 kHz at 900 Hz, 4.1 dB deep (woofer)." in high


def test_a_dip_that_is_not_known_says_why(solve_free_field):
    case = make_case(frequencies=FrequencyGrid(600.0, 20_000.0, 24))
    prediction = predict(case, solve=solve_free_field)
    points = over_the_floor(first_answers(case, prediction), prediction)
    assert all("lies below the predicted frequencies, which start at 6" in each for each in points)
    assert not any("no dip" in each for each in points)


def test_what_to_change_comes_before_the_aims_and_is_marked(summed_up):
    aims = (
        Aim("shallow dip", "floor dip", "seat", None, None, None, 1.0),
        Aim("audible", "level", "reference axis", (300.0, 10_000.0), 6.0, 20.0, None),
    )
    text = summed_up(aims=aims)
    start = text[: text.index("Aims ----")]
    assert "What to change" in start
    assert "Floor dip: other heights of ears and woofer move it; a thick carpet" in start
    assert start.rstrip().endswith("(common practice).")
    assert "Level:" not in start  # that aim is met
    assert "What to change" not in summed_up(aims=aims[1:])


def test_every_measure_has_advice():
    assert set(MOVES) == set(get_args(Measure))


def test_first_screen_holds_verdict_changes_and_aims(summed_up):
    """A terminal has 24 lines (common practice)."""
    text = summed_up(aims=AIMS, one_line=False)
    assert text[: text.index("On the reference axis")].count("\n") <= 24


def test_open_windows_are_at_least_that_high(summed_up, make_driver):
    aim = Aim("forgiving", "lobe window", "seat", None, None, 0.1, None)
    close = (make_driver("woofer", 0.095), make_driver("tweeter", 0.125))
    text = summed_up(drivers=close, crossover=make_case().crossover, aims=(aim,))
    assert "met: forgiving: lobe window at least 1.70 m at ear height" in text
    assert "reaches an end" not in text
    assert "Only heights from 0.30 to 2.00 m were predicted" in text


def test_a_beam_without_end_is_all_round(summed_up):
    aim = Aim("wide", "beamwidth", "reference axis", (300.0, 10_000.0), 6.0, 90.0, None)
    text = summed_up(aims=(aim,))
    assert "met: wide: beamwidth all round (asked: at least 90°)" in text
    assert "all round: at no angle 6 dB below the axis" in text


def test_left_and_right(summed_up, make_driver, solve_baffled_piston):
    assert "Left and right are alike." in summed_up()
    drivers = (make_driver("woofer", -0.05), make_driver("tweeter", 0.10, position=(0.06, 0.10)))
    text = summed_up(drivers=drivers, crossover=make_case().crossover, solve=solve_baffled_piston)
    assert "Left and right differ by " in text


def test_cautions(summed_up):
    text = summed_up()
    for word in ("dust mask", "hearing protection", "mains voltage", "tweeter driven without"):
        assert word in text
    assert text.endswith("local codes and licensed practice decide.")


def test_lines_fit_a_terminal(summed_up):
    text = summed_up(aims=AIMS, note="x" * 20, one_line=False)
    assert max(map(len, text.splitlines())) <= 88
    assert text.endswith("\n")
