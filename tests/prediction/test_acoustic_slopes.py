"""Acoustic slopes: every layout gets its own filter, held where a driver has no output."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.case.design.model import FrequencyGrid
from acoustics.conventions import VARIABLES
from acoustics.listening.levels import level
from acoustics.listening.reach import unreached
from acoustics.prediction import predict

HALF_OF_88 = 88.0 - 20 * np.log10(2.0)


@pytest.fixture
def acoustic_case(make_case, make_driver, pass_branch):
    """A two-way with acoustic Linkwitz–Riley slopes; the tweeter may sit aside."""

    def build(aside=0.0, level=80.0, most_gain=12.0, **changes):
        drivers = [
            make_driver(
                "woofer", -0.06, piston_diameter=0.1, frame_diameter=0.12, acoustic_depth=0.02
            ),
            make_driver("tweeter", 0.1, position=(aside, 0.1)),
        ]
        given = {"slopes": "acoustic", "level": level, "most_gain": most_gain}
        branches = (
            pass_branch("woofer", "low-pass", 2000.0, **given),
            pass_branch("tweeter", "high-pass", 2000.0, **given),
        )
        return make_case(drivers, crossover=branches, **changes)

    return build


@pytest.fixture(scope="module")
def coarse():
    return {"frequencies": FrequencyGrid(100.0, 8000.0, 3), "arc_step": 10.0}


@pytest.mark.parametrize("aside", [0.0, 0.05])
def test_on_the_axis_both_layouts_are_the_target_and_flat(acoustic_case, coarse, aside):
    prediction = predict(acoustic_case(aside, **coarse))
    axis = prediction.arc_pressure.sel(plane="horizontal", angle=0.0)
    np.testing.assert_allclose(axis, prediction.target, rtol=1e-9)
    # Fourth-order Linkwitz–Riley branches add up to an all-pass (Linkwitz 1976).
    total = level(prediction.arc_total.sel(plane="horizontal", angle=0.0))
    assert total.values == pytest.approx(80.0 - 20 * np.log10(2.0), abs=1e-9)
    assert unreached(acoustic_case(aside, **coarse), prediction) == []


def test_the_two_layouts_get_filters_of_their_own(acoustic_case, coarse):
    centred, offset = (predict(acoustic_case(aside, **coarse)) for aside in (0.0, 0.05))
    apart = 20 * np.log10(np.abs(centred["filter"] / offset["filter"]))
    assert np.abs(apart.sel(driver="tweeter")).max() > 0.5
    # The woofer stays; only the axis on which it is judged moves with the tweeter.
    assert np.abs(apart.sel(driver="woofer").isel(frequency=slice(0, 8))).max() < 0.3


def test_no_filter_looks_ahead(acoustic_case, coarse):
    """The deeper woofer would need an advance; instead the tweeter waits for it."""
    prediction = predict(acoustic_case(**{**coarse, "frequencies": FrequencyGrid(100, 8000, 24)}))
    slopes = np.abs(prediction["filter"].sel(driver="tweeter").values)
    high = slopes > slopes.max() / 4
    phase = np.unwrap(np.angle(prediction["filter"].sel(driver="tweeter").values[high]))
    frequency = prediction.frequency.values[high]
    delay = -np.gradient(phase, 2 * np.pi * frequency)
    # What remains after the fourth-order slope's own delay is the woofer's extra way.
    extra = (np.hypot(2.0, 0.16) - 2.0 + 0.02) / 343.0
    assert delay[-5:].mean() == pytest.approx(extra, abs=30e-6)


def test_crossovers_are_told_by_what_is_heard_on_the_axis(acoustic_case, coarse):
    prediction = predict(acoustic_case(**{**coarse, "frequencies": FrequencyGrid(100, 8000, 24)}))
    assert prediction.attrs["crossover_frequencies"] == pytest.approx([2000.0], rel=1e-3)


def test_a_target_out_of_reach_is_told_and_the_filter_held(acoustic_case, coarse):
    case = acoustic_case(level=90.0, most_gain=0.0, **coarse)
    prediction = predict(case)
    assert np.abs(prediction["filter"]).max() <= 1 + 1e-12
    woofer, tweeter = unreached(case, prediction)
    # Where the cabinet is small, 88 dB into half space come to little more than 82 dB.
    own = 2.83 * np.abs(prediction.source * prediction.arc_field.sel(angle=0.0))
    own = 20 * np.log10(own.sel(driver="woofer", plane="vertical").isel(frequency=0) / 20e-6)
    lack = 90.0 - 20 * np.log10(2.0) - float(own)
    assert 6.0 < lack < 8.0
    assert woofer.key == "crossover.woofer.level"
    assert f"lacks {lack:.1f} dB at 125 Hz" in woofer.message
    assert "between 125 Hz and 2" in woofer.message
    assert "limit of 0 dB" in woofer.message
    assert tweeter.key == "crossover.tweeter.level"


def test_electrical_and_acoustic_slopes_side_by_side(
    make_case, make_driver, pass_branch, solve_free_field
):
    drivers = [make_driver("woofer", -0.06), make_driver("tweeter", 0.1)]
    branches = (
        pass_branch("woofer", "low-pass", 2000.0),
        pass_branch("tweeter", "high-pass", 2000.0, slopes="acoustic", level=HALF_OF_88),
    )
    prediction = predict(make_case(drivers, crossover=branches), solve=solve_free_field)
    assert prediction.target.dims == VARIABLES["target"].dims
    assert np.isnan(prediction.target.sel(driver="woofer")).all()
    # What 88 dB into half space come to in free space: the tweeter needs no gain.
    top = np.abs(prediction["filter"].sel(driver="tweeter").values[-1])
    assert top == pytest.approx(1.0, abs=1e-3)


@pytest.mark.parametrize("where", ["driver", "crossover"])
def test_either_polarity_turns_the_sound(
    make_case, make_driver, pass_branch, solve_free_field, where
):
    """Second-order Linkwitz–Riley branches need one inverted (Linkwitz 1976)."""
    given = {"slopes": "acoustic", "level": 80.0, "order": 2}
    drivers = [make_driver("w"), make_driver("t", 0.1, inverted=where == "driver")]
    branches = (
        pass_branch("w", "low-pass", 2000.0, **given),
        pass_branch("t", "high-pass", 2000.0, inverted=where == "crossover", **given),
    )
    prediction = predict(make_case(drivers, crossover=branches), solve=solve_free_field)
    total = level(prediction.arc_total.sel(plane="horizontal", angle=0.0))
    assert total.values == pytest.approx(80.0 - 20 * np.log10(2.0), abs=1e-6)
