"""The floor's first dip, from design to figure, against the method of images."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from acoustics.case.model import Cabinet, Floor, ReferenceAxis, Seat
from acoustics.listening import floor_bounce
from acoustics.prediction import predict


def heard(make_case, driver, source_height, ear_heights, distance, **changes):
    return make_case(
        [driver],
        cabinet=Cabinet(0.22, 0.38, 0.30, base_height=source_height - 0.19),
        seat=Seat(distance, tuple(ear_heights)),
        **changes,
    )


@pytest.mark.parametrize("identity", ["F-IMG-01", "F-IMG-02", "F-IMG-03"])
def test_first_notch_of_a_rigid_floor(
    identity, reference, make_case, make_driver, solve_free_field
):
    check = next(entry for entry in reference("floor_bounce") if entry["id"] == identity)
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
