"""Dips of the whole response at the seat: where, how deep, and what makes them."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.case.design.model import Cabinet, FrequencyGrid, Surface
from acoustics.listening.causes import BAFFLE
from acoustics.listening.dips import dips
from acoustics.listening.listeners import heard
from acoustics.prediction import predict
from support.cases import make_case, make_driver, pass_branch, seat_at
from support.free_field import solve_free_field
from support.synthetic_dips import solve_with_echo, synthetic

CASES = 100
LEAST_RIGHT = 95

GRID = FrequencyGrid(20.0, 20_000.0, 24)
ROOM = (
    Surface("floor", 0.0, 0.9),
    Surface("ceiling", 2.4, 0.8),
    Surface("front wall", 0.6, 0.7),
    Surface("rear wall", 4.5, 0.6),
    Surface("left wall", 1.2, 0.8),
    Surface("right wall", 2.0, 0.5),
)


def one_driver(source_height=1.0, ears=(1.0,), distance=3.0, **changes):
    changes = {"frequencies": GRID, "surfaces": (), "arc_step": 90.0, **changes}
    return make_case(
        [make_driver("only")],
        cabinet=Cabinet(0.22, 0.38, 0.30, base_height=source_height - 0.19),
        seat=seat_at(distance, ears),
        **changes,
    )


def two_way(corner=2000.0, ears=(1.0,), how=None, **changes):
    """Drivers as far from the ears as each other, the tweeter inverted: a null at the corner."""
    changes = {"frequencies": GRID, "surfaces": (), "arc_step": 90.0, **changes}
    branch = {"order": 4, **(how or {})}
    return make_case(
        [make_driver("woofer", -0.08), make_driver("tweeter", 0.08)],
        crossover=(
            pass_branch("woofer", "low-pass", corner, **branch),
            pass_branch("tweeter", "high-pass", corner, inverted=True, **branch),
        ),
        cabinet=Cabinet(0.22, 0.6, 0.30, base_height=0.7),
        seat=seat_at(2.5, ears),
        **changes,
    )


def found(case, solve=solve_free_field):
    return dips(heard(predict(case, solve=solve)))


def shares_of(answer, dip=0, ear=0):
    one = answer.isel(ear_height=ear, dip=dip)
    return dict(zip(one.cause.values.tolist(), one.dip_share.values.tolist(), strict=True))


@pytest.mark.slow
def test_the_main_cause_is_right():
    wrong = []
    for seed in range(CASES):
        known = synthetic(seed)
        one = found(known.case, known.solve).isel(ear_height=0)
        low, high = known.band
        own = one.isel(dip=(one.dip_frequency > low) & (one.dip_frequency < high))
        deepest = own.isel(dip=int(own.dip_depth.argmax("dip"))) if own.sizes["dip"] else None
        cause = "none" if deepest is None else deepest.dip_cause.item()
        if cause != {"baffle": BAFFLE}.get(known.cause, known.cause):
            wrong.append(f"seed {seed}: {known.cause} taken for {cause}")
    assert CASES - len(wrong) >= LEAST_RIGHT, "\n".join(wrong)


@pytest.mark.parametrize(
    "name",
    [
        "source 1.0 m, ear 1.0 m, 3.0 m apart",
        "source 0.9 m, ear 1.2 m, 2.5 m apart",
        "source 0.6 m, ear 1.1 m, 3.0 m apart",
    ],
)
def test_a_lone_floor_makes_all_of_its_dips(name, reference):
    check = next(entry for entry in reference("floor_bounce") if entry["name"] == name)
    given, expected = check["inputs"], check["expected"]
    case = one_driver(given["hs_m"], (given["hr_m"],), given["d_m"], surfaces=ROOM[:1])
    hard = one_driver(
        given["hs_m"], (given["hr_m"],), given["d_m"], surfaces=(Surface("floor", 0.0),)
    )
    answer = found(hard)
    first = answer.dip_frequency.values[0, : len(expected["notches_hz"])]
    assert first == pytest.approx(expected["notches_hz"], abs=0.1)
    # Later dips lie between peaks of one height.
    swing = expected["peak_level_dB"] - expected["notch_level_dB"]
    assert float(answer.dip_depth[0, 1]) == pytest.approx(swing, abs=0.02)
    for each in (answer, found(case)):
        assert (each.dip_cause == "floor").all()
        share = each.dip_share.sel(cause="floor").values
        assert share == pytest.approx(each.dip_depth.values, abs=1e-9)
        assert each.dip_driver.values[0, 0] == "only"


def test_a_lone_baffle_makes_all_of_its_dips():
    # 1 − a·e^(−jk·way) swings from 1 − a to 1 + a; its first dip above 0 Hz is at c/way.
    answer = found(one_driver(), solve_with_echo(0.5, [0.4], 0.0))
    multiples = 343.0 / 0.4 * np.arange(1, 6)
    assert answer.dip_frequency.values[0] == pytest.approx(multiples, rel=1e-3)
    assert answer.dip_depth.values[0, :2] == pytest.approx(20 * np.log10(1.5 / 0.5), abs=0.01)
    assert (answer.dip_cause == BAFFLE).all()
    shares = shares_of(answer)
    assert shares["crossover"] == pytest.approx(0.0, abs=1e-9)
    assert shares[BAFFLE] == pytest.approx(float(answer.dip_depth[0, 0]), abs=1e-9)


@pytest.mark.parametrize(
    ("how", "off"), [({}, 1e-9), ({"slopes": "acoustic", "level": 84.0}, 1e-3)]
)
def test_a_lone_crossover_makes_all_of_its_dip(how, off):
    answer = found(two_way(how=how))
    assert answer.sizes["dip"] == 1
    # Acoustic slopes are exact at the reference distance, a little off at the seat.
    assert float(answer.dip_frequency[0, 0]) == pytest.approx(2000.0, rel=0.02)
    assert answer.dip_cause.item() == "crossover"
    assert shares_of(answer)["crossover"] == pytest.approx(answer.dip_depth.item(), abs=off)


def test_electrical_slopes_leave_diffraction_on_the_axis_to_the_baffle():
    echo = solve_with_echo(0.5, [0.4], 0.0)
    assert set(found(one_driver(), echo).dip_cause.values.ravel()) == {BAFFLE}
    made_flat = one_driver(
        crossover=(pass_branch("only", "high-pass", 30.0, slopes="acoustic", level=80.0),)
    )
    # The filter undoes it: nothing is left at the seat, ahead of the reference point.
    assert found(made_flat, echo).sizes["dip"] == 0


def test_acoustic_slopes_leave_to_the_baffle_what_the_seat_does_not_share_with_the_axis():
    # Flat on the axis; at the seat, well above it, the echo comes by another way.
    case = one_driver(
        ears=(2.4,),
        distance=2.0,
        crossover=(pass_branch("only", "high-pass", 30.0, slopes="acoustic", level=80.0),),
    )
    answer = found(case, solve_with_echo(0.5, [0.4], 0.5))
    assert answer.sizes["dip"] > 0
    assert (answer.dip_cause == BAFFLE).all()


def test_shares_add_up_and_dips_ascend_in_a_room_of_six_surfaces():
    answer = found(
        two_way(ears=(0.85, 1.0, 1.2), surfaces=ROOM), solve_with_echo(0.3, [0.25, 0.2], 0.1)
    )
    assert answer.cause.values.tolist() == [
        "crossover", "cabinet and cone", *(surface.name for surface in ROOM)
    ]  # fmt: skip
    here = np.isfinite(answer.dip_depth.values)
    total = answer.dip_share.sum("cause", skipna=False).values
    assert total[here] == pytest.approx(answer.dip_depth.values[here], abs=1e-9)
    assert (answer.dip_depth.values[here] >= 3.0).all()
    # Padding: all of a place or nothing of it.
    assert np.isnan(total[~here]).all()
    for name in ("dip_cause", "dip_driver"):
        assert ((answer[name].values != "") == here).all()
    for row in answer.dip_frequency.values:
        inside = row[np.isfinite(row)]
        assert (np.diff(inside) > 0).all()
        assert inside[0] >= 100.0
        assert inside[-1] <= 5000.0


def test_depths_are_those_of_the_predicted_curve():
    case = one_driver(surfaces=ROOM[:3], frequencies=FrequencyGrid(40.0, 12_000.0, 24))
    fine = one_driver(surfaces=ROOM[:3], frequencies=FrequencyGrid(40.0, 12_000.0, 1200))
    total = predict(fine, solve=solve_free_field).seat_total.sel(surroundings="with reflections")
    level = 20 * np.log10(np.abs(total.squeeze().values))
    frequency = total.frequency.values
    one = found(case).isel(ear_height=0)
    for f, deep in zip(one.dip_frequency.values, one.dip_depth.values, strict=True):
        near = np.abs(np.log(frequency / f)) < 0.002
        lowest = int(np.flatnonzero(near)[level[near].argmin()])
        assert frequency[lowest] == pytest.approx(f, rel=1e-3)
        # The shoulders: the highest on either side, until lower ground or one octave away.
        lower = np.flatnonzero(level < level[near].min() - 1e-3)
        start = max(lower[lower < lowest].max(initial=-1) + 1, np.searchsorted(frequency, f / 2))
        stop = min(lower[lower > lowest].min(initial=level.size), np.searchsorted(frequency, f * 2))
        left = start + int(level[start:lowest].argmax())
        right = lowest + int(level[lowest:stop].argmax())
        line = np.interp(np.log(f), np.log(frequency[[left, right]]), level[[left, right]])
        # The fine grid itself steps over the bottoms of the deepest.
        assert deep > 40 or line - level[lowest] == pytest.approx(deep, abs=0.1)


@pytest.mark.parametrize("delay", [0.0, 5e-3])
@pytest.mark.parametrize("per_octave", [12, 24])
def test_a_comb_is_followed_on_any_grid_and_behind_any_delay(per_octave, delay):
    def run(step, late):
        case = two_way(
            surfaces=ROOM, frequencies=FrequencyGrid(20.0, 20_000.0, step), how={"delay": late}
        )
        return found(case)

    answer, fine = run(per_octave, delay), run(96, 0.0)
    assert answer.sizes == fine.sizes
    assert answer.dip_frequency.values == pytest.approx(fine.dip_frequency.values, rel=2e-3)
    assert (answer.dip_cause == fine.dip_cause).mean() > 0.9


def test_a_deep_dip_is_seen_whole_through_the_comb_on_it():
    # The null between the drivers is wide; a weak floor ripples on it.
    bare = found(two_way())
    with_floor = found(two_way(surfaces=(Surface("floor", 0.0, 0.2),))).isel(ear_height=0)
    deepest = with_floor.isel(dip=int(with_floor.dip_depth.argmax("dip")))
    assert deepest.dip_cause.item() == "crossover"
    assert float(deepest.dip_frequency) == pytest.approx(float(bare.dip_frequency[0, 0]), rel=0.1)


def test_the_driver_is_the_one_that_plays_there():
    one = found(two_way(surfaces=ROOM)).isel(ear_height=0)
    below = one.dip_frequency < 1900.0
    assert set(one.dip_driver.values[below]) == {"woofer"}
    assert set(one.dip_driver.values[one.dip_frequency > 2100.0]) == {"tweeter"}


def test_where_there_is_no_dip_none_is_told():
    answer = found(one_driver(ears=(0.9, 1.1)))
    assert answer.sizes["dip"] == 0
    assert answer.dip_share.shape == (2, 0, 2)


@pytest.mark.parametrize("grid", [FrequencyGrid(999.0, 1001.0, 1), FrequencyGrid(11e3, 16e3, 24)])
def test_frequencies_that_hold_no_dip(grid):
    assert found(one_driver(surfaces=ROOM, frequencies=grid)).sizes["dip"] == 0


@pytest.mark.parametrize("per_octave", [1, 5])
def test_between_few_frequencies_no_dips_are_made_up(per_octave):
    case = one_driver(surfaces=ROOM, frequencies=FrequencyGrid(20.0, 20_000.0, per_octave))
    answer = found(case)
    assert answer.sizes["dip"] == 0
    assert f"{per_octave} frequencies per octave were predicted" in answer.note
    assert "take per_octave = 6 or more" in answer.note
    fine = found(one_driver(surfaces=ROOM, frequencies=FrequencyGrid(20.0, 20_000.0, 6)))
    assert fine.sizes["dip"] > 0
    assert fine.note == ""
