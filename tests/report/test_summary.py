"""The summary: the verdict first, then what to change, the aims, the figures, and how sure."""

from __future__ import annotations

from typing import get_args

import pytest

from acoustics.case.design.model import (
    Aim,
    Branch,
    Measure,
    PassFilter,
    Placement,
    Seat,
    SeatPlace,
    Surface,
)
from acoustics.report.advice import MOVES
from support.cases import make_case, make_driver, pass_branch, seat_at
from support.free_field import solve_free_field

AIMS = (
    Aim("audible", "level", "reference axis", (300.0, 10_000.0), 6.0, 20.0, None),
    Aim("deafening", "level", "seat", (300.0, 10_000.0), 6.0, 150.0, None),
    Aim("too wide a band", "ripple", "reference axis", (1.0, 10_000.0), 6.0, None, 3.0),
)


def acoustic(driver, kind, corner, level):
    section = PassFilter(
        kind,
        "linkwitz-riley",
        4,
        low_corner=corner if kind == "high-pass" else None,
        high_corner=corner if kind == "low-pass" else None,
    )
    return Branch(driver, sections=(section,), slopes="acoustic", level=level)


def test_first_lines_say_whether_it_is_good(summed_up):
    text = summed_up(aims=AIMS, title="Two-way", one_line=False)
    title, underline, _, answer = text.splitlines()[:4]
    assert (title, underline) == ("Two-way", "=======")
    assert answer.startswith(
        "Is it good? Not yet: it meets 1 of its 3 aims; missed: “deafening” (by "
    )


def test_what_to_change_comes_before_the_aims_and_is_marked(summed_up):
    aims = (
        Aim("shallow dip", "floor dip", "seat", None, None, None, 1.0),
        Aim("audible", "level", "reference axis", (300.0, 10_000.0), 6.0, 20.0, None),
    )
    text = summed_up(aims=aims)
    start = text[: text.index("Aims (")]
    assert "What to change" in start
    assert "Floor dip: other heights of ears and woofer move it; a thick carpet" in start
    assert start.rstrip().endswith("(common practice).")
    assert "Level:" not in start  # that aim is met
    assert "What to change" not in summed_up(aims=aims[1:])


def test_every_measure_has_advice():
    assert set(MOVES) == set(get_args(Measure))


def test_a_target_that_is_not_reached_is_said_first(summed_up):
    """The tweeter gives 88 dB at 1 m into half space: 100 dB asks for over 12 dB more."""
    crossover = (
        acoustic("woofer", "low-pass", 2500.0, 80.0),
        acoustic("tweeter", "high-pass", 2500.0, 100.0),
    )
    text = summed_up(crossover=crossover, drivers=make_case().drivers, aims=AIMS[:1])
    start = text[: text.index("Aims (")]
    assert "1 of its aims" not in start
    assert "its aim is met. A driver does not reach its acoustic target." in start
    assert "- tweeter does not reach its acoustic target: it lacks " in start
    assert "woofer does not reach" not in text
    enough = (crossover[0], acoustic("tweeter", "high-pass", 2500.0, 80.0))
    assert "does not reach" not in summed_up(crossover=enough, drivers=make_case().drivers)


def test_without_a_room_nothing_is_said_of_one(summed_up):
    text = summed_up(surfaces=())
    assert "and any room: no surface reflects." in text
    for words in ("What the room does", "first dip", "all together", "furniture"):
        assert words not in text
    silent = summed_up(surfaces=(Surface("floor", 0.0, 0.0),))
    assert "What the room does" not in silent


def test_one_driver_has_no_lobes(summed_up):
    text = summed_up(drivers=[make_driver("wide-band", 0.0)])
    assert "One driver plays everything, so there is no lobing between drivers." in text
    assert "main lobe" not in text


def test_cautions(summed_up):
    text = summed_up()
    for word in ("dust mask", "hearing protection", "mains voltage", "tweeter driven without"):
        assert word in text
    assert text.endswith("local codes and licensed practice decide.")


def six_aims():
    """As many as a shipped case has; one line each where they are met."""
    band = (300.0, 10_000.0)
    return (
        Aim("smooth on axis", "ripple", "listening window", band, 6.0, None, 20.0),
        Aim("neither bright nor dull", "tilt", "reference axis", band, 6.0, -2.0, 2.0),
        Aim("loud enough at the seat", "level", "seat", band, None, 20.0, None),
        Aim("wide through the crossover", "beamwidth", "reference axis", band, 6.0, 20.0, None),
        Aim("forgives slouching", "lobe window", "seat", None, None, 0.1, None),
        Aim("floor dip can be lived with", "floor dip", "seat", None, None, None, 1.0),
    )


TWO_WAY = {
    "aims": six_aims(),
    "note": "Invented design of an invented one-bench workshop: no driver in it can be bought.",
    "drivers": (
        make_driver("woofer", -0.05, piston_diameter=0.12, frame_diameter=0.16),
        make_driver("tweeter", 0.10),
    ),
    "crossover": (
        pass_branch("woofer", "low-pass", 2500.0),
        pass_branch("tweeter", "high-pass", 2500.0),
    ),
}
ONE_CABINET = {**TWO_WAY, "seat": seat_at(2.5, (0.85, 0.95, 1.05))}
PAIR_IN_A_ROOM = {
    **TWO_WAY,
    "placement": Placement(pair=True, spacing=2.0, toe_in=12.0),
    "seat": Seat(
        (SeatPlace("main", 2.5), SeatPlace("sofa-end", 2.7, 0.8), SeatPlace("armchair", 1.9, -1.1)),
        (0.85, 0.95, 1.05),
    ),
    "surfaces": (
        Surface("floor", 0.0, 0.9),
        Surface("front wall", 0.9, 0.9),
        Surface("left wall", 1.9),
        Surface("ceiling", 2.5),
    ),
}


def solve_with_a_step(body, pistons, receivers, frequency, *, air, **_):
    """Point sources whose level rises by 6 dB about 300 Hz on every side, like a cabinet's front.

    Else the step would not be known, which takes more words than to name it.
    """
    free = solve_free_field(body, pistons, receivers, frequency, air=air)
    up = 1j * free.frequency / 300.0
    return free * (1 + up) / (1 + up / 2)


@pytest.mark.parametrize(("changes", "most"), [(ONE_CABINET, 76), (PAIR_IN_A_ROOM, 92)])
def test_short_enough_to_be_read(summed_up, changes, most):
    text = summed_up(solve=solve_with_a_step, error=0.04, one_line=False, **changes)
    assert "Baffle step, for the crossover to take back: woofer 3 dB up at " in text
    lines = text.splitlines()
    assert len(lines) <= most
    assert max(map(len, lines)) <= 88
    assert text.endswith("\n")


@pytest.mark.parametrize("changes", [ONE_CABINET, PAIR_IN_A_ROOM])
def test_first_screen_holds_verdict_changes_and_aims(summed_up, changes):
    """A terminal has 24 lines (common practice)."""
    text = summed_up(solve=solve_with_a_step, one_line=False, **changes)
    assert text[: text.index("How even it sounds")].count("\n") <= 24
