"""What the room does, in words: each surface by itself, and all of them together."""

from __future__ import annotations

import re

import numpy as np
import pytest

from acoustics.case.design.model import Cabinet, FrequencyGrid, Placement, Surface
from acoustics.listening import dips, heard
from acoustics.listening.error import dip_error, level_error
from acoustics.prediction import predict
from acoustics.report.in_the_room import surface_lines, whole_response
from support.cases import make_case, make_driver, seat_at

FLOOR, WALL = Surface("floor", 0.0), Surface("front wall", 0.9, 0.9)
PAIR = Placement(pair=True, spacing=2.0)


def one_driver(ears=(1.0,), **changes):
    """A point source 1 m above the floor, ears 2 m away."""
    return {
        "drivers": [make_driver("wide-band", 0.0)],
        "cabinet": Cabinet(0.22, 0.38, 0.30, 0.81),
        "seat": seat_at(2.0, ears),
        **changes,
    }


def told(known, **changes):
    _, prediction, answers = known(**changes)
    return surface_lines(answers, prediction)


def test_floor_dip_by_hand(known):
    """Point source 1 m and ear 1 m above a hard floor, 2 m apart: √(2² + 2²) − 2 = 0.8284 m.

    First cancellation at c/(2·0.8284 m) with c = 343 m/s: 207 Hz; 20·lg(1 − 2/√8) = 10.7 dB.
    """
    assert told(known, **one_driver()) == ["Floor: first dip at 207 Hz, 10.7 dB deep (wide-band)."]


def test_ear_heights_are_a_range(known):
    """Ear 0.8 m: √(2² + 1.8²) − √(2² + 0.2²) = 0.6807 m: 252 Hz, 20·lg(1 − 2.0100/2.6907) =
    −11.9 dB; for 1 m as above.
    """
    assert told(known, **one_driver((0.8, 1.0))) == [
        "Floor: first dip at 207 to 252 Hz, 10.7 to 11.9 dB deep (wide-band)."
    ]


def test_front_wall_dip_by_hand(known):
    """A wall 0.9 m behind: detour 1.8 m, 343/3.6 = 95.3 Hz; 20·lg(1 − 0.9·2/3.8) = 5.6 dB."""
    lines = told(known, **one_driver(surfaces=(FLOOR, WALL)))
    assert lines[1] == "Front wall: first dip at 95.3 Hz, 5.6 dB deep (wide-band)."


def test_a_surface_without_a_dip(known):
    faint = (Surface("floor", 0.0, 0.05),)
    assert told(known, **one_driver(surfaces=faint)) == ["Floor: no dip of 1 dB or more."]


def test_a_dip_that_is_not_known_says_why(known):
    (line,) = told(known, frequencies=FrequencyGrid(600.0, 20_000.0, 24))
    assert "lies below the predicted frequencies, which start at 6" in line
    assert "no dip" not in line


def test_deepest_dip_is_told_where_it_is_deeper(known):
    _, prediction, answers = known()
    answers["dip_depth"] = answers.dip_depth.copy(data=[[[3.0, 3.0]]])
    answers["deepest_dip_depth"] = answers.dip_depth.copy(data=[[[3.9, 4.1]]])
    answers["deepest_dip_frequency"] = answers.dip_depth.copy(data=[[[900.0, 950.0]]])
    (line,) = surface_lines(answers, prediction)
    assert line.endswith(
        "; deepest (up to 1.5 kHz) at 950 Hz, 4.1 dB deep (woofer, ears at 1.10 m)."
    )


def test_nulls_are_at_least_so_deep(known):
    """u = 0.05 dB leaves e = 2·0.05·ln(10)/20·(1 − δ), δ = 10^(−45/20): 20·lg(1 + e/δ) = 9.7 dB."""
    _, prediction, answers = known()
    answers["dip_depth"] = answers.dip_depth.copy(data=[[[45.0, 45.0]]])
    answers["deepest_dip_depth"] = answers.dip_depth
    (line,) = surface_lines(answers, prediction)
    left = 10 ** (-45 / 20)
    least = 45 - 20 * np.log10(1 + 0.1 * np.log(10) / 20 * (1 - left) / left)
    assert f" Hz, at least {least:.1f} dB deep (" in line
    answers["dip_depth"] = answers.dip_depth.copy(data=[[[12.0, 45.0]]])
    (line,) = surface_lines(answers, prediction)
    assert f" Hz, 12.0 to at least {least:.1f} dB deep (" in line


def test_a_seat_far_off_the_axis_is_told_where_the_cabinet_makes_the_dip(
    known, solve_baffled_piston
):
    """A single cabinet turned by 60°: its piston's first null, ka·sin θ = 3.83, lies at the seat.

    a = 0.2 m: f = 3.83·343/(2π·0.2·sin 60°) = 1.21 kHz.
    """
    wide = {
        "drivers": [make_driver("wide", 0.0, piston_diameter=0.4, frame_diameter=0.42)],
        "cabinet": Cabinet(0.5, 0.5, 0.30, 0.7),
        "surfaces": (Surface("floor", 0.0, 0.1),),
        "seat": seat_at(2.5, (0.95,)),
        "solve": solve_baffled_piston,
    }
    _, turned, _ = known(placement=Placement(toe_in=60.0), **wide)
    points, table = whole_response(turned)
    assert points[0].startswith("The seat is 60° off the axis, where cabinet and cone make dips")
    assert "cabinet and cone " in table
    _, straight, _ = known(**wide)
    assert not any("off the axis" in point for point in whole_response(straight)[0])


def test_cabinets_that_hear_a_wall_differently(known):
    """From 1 m left and right of the middle, a wall 2 m to the left is 1 m and 3 m away."""
    surfaces = (FLOOR, Surface("left wall", 2.0))
    floor, wall = told(known, **one_driver(placement=PAIR, surfaces=surfaces))
    assert "cabinet" not in floor
    near, far = re.findall(r"(\w+) cabinet first dip at ([\d.]+) Hz", wall)
    assert (near[0], far[0]) == ("left", "right")
    direct = np.hypot(2.0, 1.0)
    for (_, found), image in ((near, 3.0), (far, 5.0)):
        by_hand = 343.0 / 2 / (np.hypot(2.0, image) - direct)
        assert float(found) == pytest.approx(by_hand, rel=0.01)


def test_cabinets_that_hear_mirrored_walls_alike(known):
    walls = (Surface("left wall", 2.0), Surface("right wall", 2.0))
    *lines, last = told(known, **one_driver(placement=PAIR, surfaces=walls))
    assert len(lines) == 2
    assert last.startswith("This is the left cabinet; the right one sounds alike")
    assert not any("changing places" in line for line in told(known, placement=PAIR))


def test_the_deepest_of_all_together(solve_free_field):
    """Frequency, depth and parts are those of `dips`, the four deepest up to 1.5 kHz."""
    case = make_case(**one_driver((0.8, 1.0, 1.2), surfaces=(FLOOR, WALL)))
    prediction = predict(case, solve=solve_free_field)
    points, table = whole_response(prediction)
    head, *rows = table.splitlines()
    assert head.startswith("all together at 1.00 m  depth (dB)")
    found = dips(heard(prediction)).sel(ear_height=1.0)
    low = found.isel(dip=found.dip_frequency.values <= 1500.0)
    assert low.dip.size > 4
    assert len(rows) == 4
    shallowest = np.sort(low.dip_depth.values)[-4]
    kept = low.isel(dip=low.dip_depth.values >= shallowest)
    for row, i in zip(rows, range(4), strict=True):
        one = kept.isel(dip=i)
        place, depth, causes = re.split(r"  +", row)
        assert float(place.split()[0]) * (1000 if "kHz" in place else 1) == pytest.approx(
            float(one.dip_frequency), rel=0.005
        )
        u = level_error(prediction, one.dip_frequency.values)
        doubt = float(dip_error(u, one.dip_depth.values))
        if doubt > 3.0:
            assert depth == f"at least {float(one.dip_depth) - doubt:.1f}"
        else:
            assert depth == f"{float(one.dip_depth):.1f} ± {doubt:.1f}"
        largest = str(one.cause.values[int(one.dip_share.values.argmax())])
        assert causes.startswith(f"{largest} {float(one.dip_share.max()):.0f}")
    shared = [one for one in kept.dip_share.values if (one[2:] >= 3.0).sum() > 1]
    assert bool(points) == bool(shared)


def test_parts_add_up_to_the_depth_within_rounding(known):
    """With what is too small to be named: at most 1 dB for each of up to three causes."""
    _, prediction, _ = known(
        **one_driver(surfaces=(FLOOR, WALL, Surface("ceiling", 2.6), Surface("rear wall", 3.2)))
    )
    _, table = whole_response(prediction)
    for row in table.splitlines()[1:]:
        _, depth, causes = re.split(r"  +", row)
        if depth.startswith("at least"):
            continue
        parts = [float(each.replace("−", "-")) for each in re.findall(r"−?\d+(?=,|$)", causes)]
        assert sum(parts) == pytest.approx(float(depth.split()[0]), abs=2.5)


def test_two_cabinets_share_the_four(known):
    surfaces = (FLOOR, WALL, Surface("left wall", 2.0))
    _, prediction, _ = known(**one_driver(placement=PAIR, surfaces=surfaces))
    _, table = whole_response(prediction)
    starts = [row.split(",")[0] for row in table.splitlines()[1:]]
    assert starts == ["left cabinet"] * 2 + ["right cabinet"] * 2


def test_a_single_surface_shares_nothing(known):
    _, prediction, _ = known(**one_driver())
    points, table = whole_response(prediction)
    assert points == []
    assert "floor" in table


def test_no_dip_at_all(solve_free_field):
    case = make_case(**one_driver(surfaces=(Surface("floor", 0.0, 0.1),)))
    prediction = predict(case, solve=solve_free_field)
    assert whole_response(prediction) == (
        ["All together, ears at 1.00 m: no dip of 3 dB or more up to 1.5 kHz."],
        "",
    )
