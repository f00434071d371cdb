"""The summary says what was found, what it rests on and whether it is good."""

from __future__ import annotations

import pytest

from acoustics.case.model import Aim, Cabinet, Seat
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
    assert "no low-frequency roll-off until a driver model exists" in text
    assert "The cabinet is a rigid body" in text
    assert "mirror image, times 1." in text
    assert "puts its own error at no more than 0.07 dB" in text
    assert "Air at 20 °C" in text


@pytest.mark.parametrize(
    ("base", "says"),
    [(0.0, "The cabinet stands on the floor: "), (0.02, "stands 20 mm above the floor: ")],
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
    assert "Ears at 1.00 m: first dip at 207 Hz, 10.7 dB deep, where the wide-band plays." in text
    assert "No driver hands over to another, so there is no lobing." in text


def test_crossover_lobe_and_room_for_the_ears(summed_up):
    text = summed_up()
    assert "woofer to tweeter at 2.5 kHz: the main lobe points " in text
    assert "The level stays within 3 dB of that at 0.90 m from " in text


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
