"""Curves of ANSI/CTA-2034-A: weights and angle sets as published, curves of known patterns."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.conventions import RoundoverError
from acoustics.listening.standard_curves import (
    EARLY_REFLECTIONS,
    LISTENING_WINDOW,
    ORBITS,
    sound_power_weights,
    standard_curves,
    window_responses,
)
from support.by_hand import arcs

FREQUENCY = np.array([100.0, 1000.0, 10_000.0])

PATTERNS = {
    "an omnidirectional source": lambda turn: np.ones_like(turn),
    "a cardioid": lambda turn: (1 + np.cos(turn)) / 2,
    "a dipole": lambda turn: np.abs(np.cos(turn)),
}


def check_of(reference, name):
    return next(entry for entry in reference("standard_curves") if entry["name"] == name)[
        "expected"
    ]


def horizontal(*angles):
    return {("horizontal", float(angle)) for angle in angles}


def vertical(*angles):
    return {("vertical", float(angle)) for angle in angles}


def either(*angles):
    return [sign * angle for angle in angles for sign in (-1, 1)]


def axisymmetric(shape, level=94.0, step=5.0):
    amplitude = 20e-6 * 10 ** (level / 20)
    return arcs(lambda plane, turn, frequency: amplitude * shape(turn), FREQUENCY, step)


def test_weights_are_those_of_the_table(reference):
    check = check_of(reference, "sound power weights")
    for table in ("weights", "tabulated"):
        angle = np.array([float(key) for key in check[table]])
        wanted = np.array(list(check[table].values()))
        for same in (angle, -angle, 180 - angle):
            assert sound_power_weights(same) == pytest.approx(wanted, abs=2e-9)
    weights = sound_power_weights(np.array([angle for _, angle in ORBITS]))
    assert weights.sum() == pytest.approx(check["sum_over_70_positions"], abs=1e-9)
    assert weights.sum() == pytest.approx(1 - 6 * check["weights"]["0"], abs=1e-9)


def test_directions_are_those_of_the_standard():
    # ANSI/CTA-2034-A (2015), "angle sets" in tests/reference/standard_curves.json.
    assert len(ORBITS) == len(set(ORBITS)) == 70
    assert set(LISTENING_WINDOW) == horizontal(0, *either(10, 20, 30)) | vertical(-10, 10)
    assert len(LISTENING_WINDOW) == 9
    wanted = {
        "floor_bounce": vertical(-20, -30, -40),
        "ceiling_bounce": vertical(40, 50, 60),
        "front_wall_bounce": horizontal(0, *either(10, 20, 30)),
        "side_wall_bounce": horizontal(*either(40, 50, 60, 70, 80)),
        "rear_wall_bounce": horizontal(180, *either(*range(90, 180, 10))),
    }
    assert {name: set(group) for name, group in EARLY_REFLECTIONS.items()} == wanted
    assert [len(group) for group in EARLY_REFLECTIONS.values()] == [3, 3, 7, 10, 19]


@pytest.mark.parametrize("name", PATTERNS)
@pytest.mark.parametrize("step", [2.5, 10.0])
def test_curves_of_known_patterns(name, step, reference):
    check = check_of(reference, f"curves of {name}")
    rear = check["rear_all_19"]
    curves = standard_curves(axisymmetric(PATTERNS[name], step=step))
    wanted = {
        "on_axis": 94.0,
        "listening_window": 94 + check["LW_dB"],
        "sound_power": 94 + check["SP_dB_CTA"],
        "sound_power_index": check["SPDI_dB"],
        "early_reflections": 94 + rear["ER_dB"],
        "early_reflections_index": rear["ERDI_dB"],
        "estimated_in_room": 94 + rear["PIR_dB"],
    }
    for curve, value in wanted.items():
        assert curves[curve].values == pytest.approx(np.full(3, value), abs=0.005), curve
        assert curves[curve].attrs["units"] == "dB"
    # The other reading of the rear group is told apart by this check where it differs.
    if name != "an omnidirectional source":
        assert abs(rear["ER_dB"] - check["rear_3"]["ER_dB"]) > 0.1
    assert curves.attrs["rear_group"].startswith("all 19")


@pytest.mark.parametrize(("even", "slope"), [(0.7, 0.3), (0.25, 0.75), (0.37, 0.63)])
def test_curves_of_further_patterns_summed_one_by_one(even, slope):
    # Axisymmetric: a direction's squared pressure depends on its angle alone, so each mean can be
    # written down as a list. The power is close to the exact ∫: e² + s²/3 for e + s·cos.
    def squared(*angles):
        return np.mean((even + slope * np.cos(np.deg2rad(angles))) ** 2)

    curves = standard_curves(axisymmetric(lambda turn: np.abs(even + slope * np.cos(turn)), 0.0))
    groups = [
        squared(20, 30, 40),
        squared(40, 50, 60),
        squared(0, 10, 10, 20, 20, 30, 30),
        squared(40, 50, 60, 70, 80),
        squared(*(2 * list(range(90, 180, 10))), 180),
    ]
    window = squared(0, 10, 10, 10, 10, 20, 20, 30, 30)
    for name, group in zip(EARLY_REFLECTIONS, groups, strict=True):
        assert curves[name].values == pytest.approx(10 * np.log10(group), abs=1e-9)
    early = 10 * np.log10(np.mean(groups))
    assert curves.early_reflections.values == pytest.approx(early, abs=1e-9)
    assert curves.listening_window.values == pytest.approx(10 * np.log10(window), abs=1e-9)
    exact = 10 * np.log10(even**2 + slope**2 / 3)
    assert curves.sound_power.values == pytest.approx(exact, abs=0.4)
    power = 10 ** (curves.sound_power.values / 10)
    in_room = 10 * np.log10(0.12 * window + 0.44 * np.mean(groups) + 0.44 * power)
    assert curves.estimated_in_room.values == pytest.approx(in_room, abs=1e-9)


def test_each_group_hears_its_own_side():
    # 1 Pa where a group listens, else a thousandth: 60 dB apart.
    def only(group):
        wanted = EARLY_REFLECTIONS[group]

        def pattern(plane, turn, frequency):
            angle = np.round(np.rad2deg(turn), 6)
            return np.where(np.isin(angle, [a for p, a in wanted if p == plane]), 1.0, 1e-3)

        return standard_curves(arcs(pattern, FREQUENCY))

    for group in EARLY_REFLECTIONS:
        curves = only(group)
        assert curves[group].values == pytest.approx(20 * np.log10(1 / 20e-6), abs=1e-9)
        others = [float(curves[name][0]) for name in EARLY_REFLECTIONS if name != group]
        assert max(others) < float(curves[group][0]) - 1


def test_the_window_s_responses_keep_phase_and_order():
    def pattern(plane, turn, frequency):
        return (1.0 if plane == "horizontal" else 2.0) * np.exp(1j * turn) * frequency

    window = window_responses(arcs(pattern, FREQUENCY))
    assert window.dims == ("direction", "frequency")
    assert list(zip(window.plane.values, window.angle.values, strict=True)) == list(
        LISTENING_WINDOW
    )
    assert window.direction.values[0] == "on axis"
    assert {"10° up", "10° down", "30° left", "30° right"} < set(window.direction.values)
    right = window.sel(direction="30° right").values
    assert right == pytest.approx(np.exp(1j * np.pi / 6) * FREQUENCY)
    assert window.sel(direction="10° up").values == pytest.approx(
        2 * np.exp(1j * np.pi / 18) * FREQUENCY
    )


def test_arcs_that_leave_out_directions_are_refused():
    with pytest.raises(RoundoverError, match=r"every 10 degrees.*arc step") as refused:
        standard_curves(axisymmetric(np.ones_like, step=7.5))
    # 7.5° meets every 30°: 12 of 36 horizontally, 10 of 34 vertically.
    assert "48 of 70" in str(refused.value)
