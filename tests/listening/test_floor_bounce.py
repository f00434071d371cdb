"""The floor's first dip, from design to figure, against the method of images."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from acoustics.case.model import Cabinet, Floor, FrequencyGrid, ReferenceAxis, Seat
from acoustics.listening import floor_bounce
from acoustics.prediction import predict


def heard(make_case, driver, source_height, ear_heights, distance, **changes):
    return make_case(
        [driver],
        cabinet=Cabinet(0.22, 0.38, 0.30, base_height=source_height - 0.19),
        seat=Seat(distance, tuple(ear_heights)),
        **changes,
    )


@pytest.mark.parametrize(
    "name",
    [
        "source 1.0 m, ear 1.0 m, 3.0 m apart",
        "source 0.9 m, ear 1.2 m, 2.5 m apart",
        "source 0.6 m, ear 1.1 m, 3.0 m apart",
    ],
)
def test_first_notch_of_a_rigid_floor(name, reference, make_case, make_driver, solve_free_field):
    check = next(entry for entry in reference("floor_bounce") if entry["name"] == name)
    given, expected = check["inputs"], check["expected"]
    case = heard(make_case, make_driver("only"), given["hs_m"], [given["hr_m"]], given["d_m"])
    bounce = floor_bounce(predict(case, solve=solve_free_field)).isel(ear_height=0)
    assert float(bounce.dip_frequency) == pytest.approx(expected["notches_hz"][0], abs=0.1)
    assert float(bounce.dip_depth) == pytest.approx(-expected["notch_level_dB"], abs=0.01)
    assert bounce.dip_driver.item() == "only"
    # The curve itself, at the predicted frequency nearest the first peak.
    peak = bounce.floor_difference.sel(frequency=expected["peaks_hz"][0], method="nearest")
    assert float(peak) == pytest.approx(expected["peak_level_dB"], abs=0.05)


def test_the_reference_point_away_from_the_driver_does_not_matter(
    make_case, make_driver, solve_free_field
):
    case = heard(make_case, make_driver("only"), 1.0, [1.0], 3.0)
    moved = dataclasses.replace(case, reference=ReferenceAxis((0.05, 0.15), 2.0))
    dips = [
        float(floor_bounce(predict(one, solve=solve_free_field)).dip_frequency[0])
        for one in (case, moved)
    ]
    assert dips[0] == pytest.approx(dips[1], abs=0.01)


def test_a_softer_floor_makes_a_shallower_dip_and_none_below_one_decibel(
    make_case, make_driver, solve_free_field
):
    def depth(reflection):
        floor = Floor(reflection)
        case = heard(make_case, make_driver("only"), 1.0, [1.0], 3.0, floor=floor)
        return float(floor_bounce(predict(case, solve=solve_free_field)).dip_depth[0])

    # Method of images: 1 − reflection·r₁/r₂ at the notch.
    assert depth(0.5) == pytest.approx(-20 * np.log10(1 - 0.5 * 3 / np.hypot(3, 2)), abs=0.01)
    assert np.isnan(depth(0.1))


def test_the_dip_belongs_to_the_driver_that_plays_there(
    make_case, make_driver, pass_branch, solve_free_field
):
    def driver_of(corner):
        case = make_case(
            [make_driver("woofer", -0.05), make_driver("tweeter", 0.1)],
            crossover=(
                pass_branch("woofer", "low-pass", corner),
                pass_branch("tweeter", "high-pass", corner),
            ),
        )
        return floor_bounce(predict(case, solve=solve_free_field)).dip_driver.values.tolist()

    assert driver_of(2500.0) == ["woofer", "woofer"]
    assert driver_of(80.0) == ["tweeter", "tweeter"]


def test_without_a_floor_there_is_no_dip(make_case, solve_free_field):
    bounce = floor_bounce(predict(make_case(floor=None), solve=solve_free_field))
    assert np.isnan(bounce.dip_frequency).all()
    assert not bounce.floor_difference.values.any()
    assert bounce.dip_driver.values.tolist() == ["", ""]


@pytest.mark.parametrize(("reflection", "first"), [(1.0, 283.213011), (-1.0, 2 * 283.213011)])
def test_a_first_dip_outside_the_predicted_frequencies_is_not_known(
    make_case, make_driver, solve_free_field, reflection, first
):
    # Method of images, source and ear 1 m high, 3 m apart: path difference 0.605551 m.
    def bounce(lowest, highest):
        case = heard(
            make_case,
            make_driver("only"),
            1.0,
            [1.0],
            3.0,
            floor=Floor(reflection),
            frequencies=FrequencyGrid(lowest, highest, 24),
        )
        return floor_bounce(predict(case, solve=solve_free_field)).isel(ear_height=0)

    known = bounce(100.0, 2000.0)
    assert float(known.dip_frequency) == pytest.approx(first, abs=0.2)
    assert known.dip_note.item() == known.deepest_dip_note.item() == ""
    for lowest in (first * 1.01, first * 1.6):
        above = bounce(lowest, 4000.0)
        for name in ("dip", "deepest_dip"):
            assert np.isnan(above[f"{name}_frequency"])
            assert np.isnan(above[f"{name}_depth"])
            assert above[f"{name}_driver"].item() == ""
            assert f"near {first:.0f} Hz, lies below" in above[f"{name}_note"].item()
    below = bounce(50.0, first * 0.9)
    assert np.isnan(below.dip_frequency)
    assert f"near {first:.0f} Hz, lies above" in below.dip_note.item()


def test_the_first_dip_is_expected_from_the_driver_that_plays_there(
    make_case, make_driver, pass_branch, solve_free_field
):
    # The reference point is the tweeter's, whose own first dip would lie at 216 Hz; that of the
    # woofer near the floor lies at 1.6 kHz (method of images).
    case = make_case(
        [make_driver("woofer", -0.4), make_driver("tweeter", 0.4)],
        crossover=(
            pass_branch("woofer", "low-pass", 2500.0),
            pass_branch("tweeter", "high-pass", 2500.0),
        ),
        cabinet=Cabinet(0.22, 1.0, 0.3, base_height=0.03),
        seat=Seat(2.5, (1.0,)),
        frequencies=FrequencyGrid(300.0, 10_000.0, 24),
    )
    bounce = floor_bounce(predict(case, solve=solve_free_field)).isel(ear_height=0)
    way = np.hypot(2.5, 1.13) - np.hypot(2.5, 0.87)
    assert float(bounce.dip_frequency) == pytest.approx(343.0 / (2 * way), rel=0.1)
    assert bounce.dip_note.item() == ""


@pytest.mark.parametrize("per_octave", [1, 2, 6, 24])
def test_a_deep_notch_has_its_depth_on_any_grid(
    make_case, make_driver, solve_free_field, per_octave
):
    # Far away both ways are nearly alike: 1 − r₁/r₂ is small, the notch deep and narrow (method of
    # images).
    case = heard(
        make_case,
        make_driver("only"),
        1.0,
        [1.0],
        60.0,
        frequencies=FrequencyGrid(500.0, 16_000.0, per_octave),
    )
    bounce = floor_bounce(predict(case, solve=solve_free_field)).isel(ear_height=0)
    near, far = 60.0, np.hypot(60.0, 2.0)
    assert float(bounce.dip_depth) == pytest.approx(-20 * np.log10(1 - near / far), abs=0.01)
    assert float(bounce.dip_frequency) == pytest.approx(343.0 / (2 * (far - near)), rel=1e-4)


@pytest.fixture
def hidden_dip(make_case, make_driver, pass_branch):
    """Below the corner a woofer at the floor, above it a tweeter at ear height.

    The tweeter's first dip, near 249 Hz by the method of images, is filled by the woofer.
    """

    def build(corner, **changes):
        return make_case(
            [make_driver("woofer", -0.45), make_driver("tweeter", 0.45)],
            crossover=(
                pass_branch("woofer", "low-pass", corner, order=2),
                pass_branch("tweeter", "high-pass", corner, order=2, inverted=True),
            ),
            cabinet=Cabinet(0.22, 1.0, 0.3, base_height=0.03),
            seat=Seat(2.5, (1.0,)),
            **changes,
        )

    return build


def test_the_deepest_dip_is_told_beside_the_first(hidden_dip, solve_free_field):
    bounce = floor_bounce(predict(hidden_dip(250.0), solve=solve_free_field)).isel(ear_height=0)
    # What the grid of 24 per octave steps over, a grid of 600 per octave shows.
    fine = hidden_dip(250.0, frequencies=FrequencyGrid(300.0, 1500.0, 600))
    curve = floor_bounce(predict(fine, solve=solve_free_field)).floor_difference.isel(ear_height=0)
    shallow, deep = curve.sel(frequency=slice(None, 400.0)), curve
    for name, part in (("dip", shallow), ("deepest_dip", deep)):
        assert float(bounce[f"{name}_depth"]) == pytest.approx(-float(part.min()), abs=0.1)
        where = float(part.frequency[int(part.values.argmin())])
        assert float(bounce[f"{name}_frequency"]) == pytest.approx(where, rel=2e-3)
    assert float(bounce.dip_depth) < 3 < 20 < float(bounce.deepest_dip_depth)


def test_a_dip_that_another_driver_fills_is_not_missed(hidden_dip, solve_free_field):
    case = hidden_dip(350.0, frequencies=FrequencyGrid(300.0, 4000.0, 24))
    bounce = floor_bounce(predict(case, solve=solve_free_field)).isel(ear_height=0)
    assert bounce.dip_note.item() == ""
    assert float(bounce.dip_frequency) == pytest.approx(3 * 249.0, rel=0.05)


def test_the_deepest_dip_is_not_known_where_the_frequencies_end_early(
    make_case, make_driver, solve_free_field
):
    case = heard(
        make_case,
        make_driver("only"),
        1.0,
        [1.0],
        3.0,
        frequencies=FrequencyGrid(100.0, 1000.0, 24),
    )
    bounce = floor_bounce(predict(case, solve=solve_free_field)).isel(ear_height=0)
    assert float(bounce.dip_frequency) == pytest.approx(283.213011, abs=0.1)
    assert np.isnan(bounce.deepest_dip_depth)
    assert "end at 1000 Hz" in bounce.deepest_dip_note.item()
