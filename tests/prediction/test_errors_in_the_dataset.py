"""The solver's estimate for every level of a prediction, with fields known in closed form.

Reference: the levels' errors written out by hand.
"""

from __future__ import annotations

import numpy as np
import pytest
import xarray as xr

from acoustics.case.design.model import Cabinet, FrequencyGrid, Surface
from acoustics.prediction import predict

SMALL = {"frequencies": FrequencyGrid(250.0, 1000.0, 1), "arc_step": 30.0}


def estimating(solve, estimate):
    """A solver whose error of every level, dB, is a function of the receivers' places."""

    def answer(body, pistons, receivers, frequency, **settings):
        field = solve(body, pistons, receivers, frequency, **settings)
        error = xr.zeros_like(field, dtype=float) + xr.DataArray(
            estimate(receivers), dims="receiver"
        )
        return field.assign_coords(error_estimate=error)

    return answer


def test_every_level_has_the_estimate_of_its_own_place(make_case, solve_free_field):
    case = make_case(surfaces=(Surface("floor", 0.0, 0.7),), **SMALL)
    solve = estimating(solve_free_field, lambda at: 0.01 * (2.0 + at[:, 2]))
    prediction = predict(case, solve=solve)
    for angle in (0.0, 60.0, 180.0):
        ahead = 2.0 * np.cos(np.deg2rad(angle))
        found = prediction.arc_error.sel(angle=angle)
        np.testing.assert_allclose(found, 0.01 * (2.0 + ahead), rtol=1e-9)
    # A reflection makes the level lower and leaves its error, in dB, as it is.
    expected = 0.01 * (2.0 + prediction.seat_position.sel(axis="z"))
    np.testing.assert_allclose(
        prediction.seat_error,
        (expected + xr.zeros_like(prediction.seat_error)).transpose(*prediction.seat_error.dims),
        rtol=1e-9,
    )
    assert prediction.height_error.dims == prediction.height_field.dims
    assert prediction.aside_error.attrs["units"] == "dB"


def test_errors_of_both_sides_of_a_plate_add(make_case, make_driver, solve_free_field):
    case = make_case(
        [make_driver("w", piston_diameter=0.1, frame_diameter=0.12, both_sides=True)],
        cabinet=Cabinet(0.3, 0.4, 0.018, 0.6, shape="plate"),
        surfaces=(),
        **SMALL,
    )
    solve = estimating(solve_free_field, lambda at: np.full(len(at), 0.1))
    prediction = predict(case, solve=solve)
    found = prediction.arc_error.sel(driver="w", plane="horizontal", angle=0.0).values
    wave = 2 * np.pi * prediction.frequency.values / case.air.speed_of_sound
    front, back = (np.exp(-1j * wave * r) / r for r in (2.0, 2.018))
    share = 10 ** (0.1 / 20) - 1
    off = share * (np.abs(front) + np.abs(back))
    expected = 20 * np.log10(1 + off / np.abs(front - back))
    np.testing.assert_allclose(found, expected, rtol=1e-6)
    assert found.min() > 0.5  # the two nearly cancel


def test_a_solver_that_gives_none_leaves_them_out(make_case, solve_free_field):
    prediction = predict(make_case(surfaces=(), **SMALL), solve=solve_free_field)
    assert "arc_error" not in prediction


def test_with_the_floor_as_one_body_errors_of_both_fields_count(make_case, solve_free_field):
    case = make_case(
        cabinet=Cabinet(0.22, 0.38, 0.30, 0.0),
        surfaces=(Surface("floor", 0.0, mirrors_cabinet=True),),
        **SMALL,
    )
    prediction = predict(case, solve=estimating(solve_free_field, lambda at: np.full(len(at), 0.1)))
    direct, floor = (prediction.seat_error.isel(path=path) for path in (0, 1))
    np.testing.assert_allclose(direct, 0.1, rtol=1e-9)
    assert floor.values == pytest.approx(0.3, abs=0.1)  # together (0.2 of equal parts) and direct
