"""Lobes, room for the ears and other seats in words."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.case.design.model import (
    Cabinet,
    FrequencyGrid,
    Placement,
    ReferenceAxis,
    Seat,
    SeatPlace,
    Surface,
)
from acoustics.report.at_the_seat import room_for_ears, seat_heading, seat_table
from support.cases import make_case, make_driver, pass_branch, seat_at

PAIR = Placement(pair=True, spacing=2.0)
SEATS = Seat((SeatPlace("main", 2.5), SeatPlace("end", 2.7, 0.8)), (0.9, 1.1))


def told(known, **changes):
    _, prediction, answers = known(**changes)
    return room_for_ears(answers, prediction), answers


def two_way(apart, **changes):
    """Drivers `apart` (m) about the middle of the front face."""
    return {
        "drivers": (make_driver("woofer", -apart / 2), make_driver("tweeter", apart / 2)),
        "crossover": (
            pass_branch("woofer", "low-pass", 2500.0),
            pass_branch("tweeter", "high-pass", 2500.0),
        ),
        **changes,
    }


def test_where_the_seat_is():
    assert seat_heading(make_case(seat=seat_at(2.5, (0.9, 1.1)))) == (
        "At the seat 2.5 m ahead, ears at 0.90 to 1.10 m, before the room"
    )
    aside = seat_heading(make_case(seat=seat_at(3.0, (1.0,), aside=-0.4)))
    assert aside == "At the seat 3 m ahead, 0.4 m to the left, ears at 1.00 m, before the room"


def test_a_lobe_tilts_towards_the_driver_that_is_late(known):
    """A delay τ tilts the lobe of two drivers d apart by asin(cτ/d), far away.

    (e.g. Lipshitz & Vanderkooy, J. Audio Eng. Soc. 34 (1986); from memory.) The later driver lies
    above here; 0.05 ms and 0.15 m with c = 343 m/s: 6.6° up.
    """
    given = two_way(0.15)
    low, high = given["crossover"]
    late = pass_branch("tweeter", "high-pass", 2500.0, delay=0.05e-3)
    lines, answers = told(known, **{**given, "crossover": (low, late)})
    assert float(answers.lobe_direction[0]) == pytest.approx(6.6, abs=2.5)
    assert f": main lobe {float(answers.lobe_direction[0]):.1f}° up; " in lines[0]
    early = pass_branch("woofer", "low-pass", 2500.0, delay=0.05e-3)
    down, answers = told(known, **{**given, "crossover": (early, high)})
    assert f": main lobe {-float(answers.lobe_direction[0]):.1f}° down; " in down[0]


def test_a_lobe_on_the_axis_is_not_the_seats(known):
    """0.9 m aside at 2.5 m: atan(0.9/2.5) = 19.8° off; turned by 10° to the right, 9.8°."""
    aside = seat_at(2.5, (0.9, 1.1), 0.9)
    lines, _ = told(known, seat=aside, **two_way(0.15))
    assert ": on the axis (the seat is 20° off it) main lobe " in lines[0]
    assert "; at the seat the level stays within 3 dB for ears " in lines[0]
    turned, _ = told(known, seat=aside, placement=Placement(toe_in=10.0), **two_way(0.15))
    assert "on the axis" not in turned[0]
    assert "; the level stays" in turned[0]


def test_straight_ahead_and_heights_in_common(known):
    """Drivers as far from the reference point as each other are in step on the axis."""
    reference = ReferenceAxis((0.0, 0.0), 2.0)
    lines, answers = told(known, **two_way(0.25, reference=reference))
    low, high = answers.window_low.values.max(), answers.window_high.values.min()
    assert lines[0] == (
        "woofer to tweeter at 2.5 kHz: main lobe straight ahead; the level stays within 3 dB for "
        f"ears from {low:.2f} m to {high:.2f} m."
    )


def test_ears_out_of_reach_of_each_other_have_windows_of_their_own(known):
    """0.3 m apart, 2.5 kHz, 2 m away: from one lobe to the next it is 0.9 m."""
    lines, answers = told(known, seat=seat_at(2.0, (0.8, 1.5)), **two_way(0.3))
    for ear in (0.8, 1.5):
        one = answers.isel(listener=0, crossover=0).sel(ear_height=ear)
        assert f"{float(one.window_high):.2f} m (ears at {ear:.2f} m)" in lines[0]


def test_heights_beyond_those_predicted(known):
    lines, _ = told(known, **two_way(0.03))
    assert "for ears from below 0.30 m to above 2.00 m." in lines[0]
    assert " over at least 1.70 m up and down" in lines[1]


def test_narrowest_ranges_and_where(known):
    lines, answers = told(known, **two_way(0.25))
    height = answers.height_span.values.ravel()
    least = int(height.argmin())
    near = float(f"{answers.height_span_frequency.values.ravel()[least]:.2g}") / 1000
    assert f"over {height[least]:.2f} m up and down (tightest near {near:g} kHz)" in lines[-1]
    assert bool(answers.aside_span_open[0])
    assert f"and at least {float(answers.aside_span[0]):.2f} m sideways" in lines[-1]
    known_only = told(known, frequencies=FrequencyGrid(400.0, 20_000.0, 24))[0]
    assert not any("up and down" in line for line in known_only)


def test_the_main_seat_alone_decides(known):
    alone, _ = told(known, placement=PAIR, seat=seat_at(2.5, (0.9, 1.1)))
    both, _ = told(known, placement=PAIR, seat=SEATS)
    assert alone == both


def test_other_seats_and_cabinets_are_a_table(known):
    _, prediction, answers = known(placement=PAIR, seat=SEATS)
    rows = seat_table(prediction).splitlines()
    assert rows[0].split() == ["ears", "at", "1.10", "m", "mean", "level", "ripple"]
    assert [row[:25].strip() for row in rows[1:]] == [
        "main seat",
        "seat end, left cabinet",
        "seat end, right cabinet",
    ]
    for row, one in zip(rows[1:], answers.listener.values, strict=True):
        mine = answers.sel(listener=one, ear_height=1.1)
        assert f"{float(mine.seat_level):.1f} dB" in row
        assert row.endswith(f"±{float(mine.seat_ripple):.1f} dB")


def test_cabinets_that_only_the_room_tells_apart_are_one_row(known):
    wall = (Surface("left wall", 2.0),)
    _, prediction, answers = known(placement=PAIR, seat=SEATS, surfaces=wall)
    assert answers.listener.size == 4
    rows = seat_table(prediction).splitlines()
    assert rows[1].startswith("main seat, either cabinet ")
    assert len(rows) == 4
    _, alone, one_seat = known(placement=PAIR, surfaces=wall)
    assert one_seat.listener.size == 2
    assert seat_table(alone) == ""


def test_one_seat_and_cabinet_need_no_table(known):
    _, prediction, _ = known()
    assert seat_table(prediction) == ""


def test_a_handover_outside_the_predicted_frequencies_is_no_absence_of_lobing(known):
    """Nor are two drivers that play everything together."""
    cut, _ = told(known, frequencies=FrequencyGrid(20.0, 1000.0, 24))
    together, _ = told(known, drivers=make_case().drivers, crossover=())
    for lines in (cut, together):
        assert lines[0].startswith("No handover from one driver to another lies within the predic")


def test_arcs_too_coarse_for_the_lobes_are_said(known):
    tall = Cabinet(0.22, 1.1, 0.30, 0.1)
    lines, _ = told(known, arc_step=10.0, cabinet=tall)
    assert "the arc's steps are too coarse to follow the lobes" in lines[0]
    assert "main lobe" not in lines[0]


def test_ears_in_a_null_have_no_room(known):
    _, prediction, answers = known()
    for name in ("window_low", "window_high"):
        answers[name] = answers[name] * np.nan
    assert "for ears nowhere, as they sit in a null." in room_for_ears(answers, prediction)[0]
