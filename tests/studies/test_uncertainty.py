"""The solver's error, carried into the answers, against errors put in by hand."""

from __future__ import annotations

import numpy as np
import pytest
import xarray as xr

from acoustics.case.model import Floor, Seat
from acoustics.listening import first_answers, ripple_and_tilt
from acoustics.prediction import predict
from acoustics.studies.numbers import numbers_of
from acoustics.studies.uncertainty import (
    FLOOR,
    NEPER,
    answer_uncertainty,
    level_error,
    level_uncertainty,
)
from support.cases import make_case, make_driver, pass_branch

BAND = (300.0, 10_000.0)
U = 0.2
"""dB: error put in"""


@pytest.fixture(scope="module")
def prediction(solve_baffled_piston):
    return predict(make_case(), solve=solve_baffled_piston)


def with_error(prediction: xr.Dataset, decibels: float | np.ndarray) -> xr.Dataset:
    error = np.broadcast_to(decibels, prediction.frequency.shape)
    return prediction.assign_coords(error_estimate=("frequency", error.copy()))


def wrong(prediction: xr.Dataset, name: str, decibels: xr.DataArray) -> xr.Dataset:
    """The prediction with the levels of one variable off by so much."""
    dims = prediction[name].dims
    off = (prediction[name] * 10 ** (decibels / 20)).transpose(*dims)
    return prediction.assign({name: off})


def test_level_error_is_the_solvers_estimate_but_no_less_than_half_the_floor(prediction):
    assert level_uncertainty(prediction, BAND) == FLOOR / 2
    assert level_uncertainty(with_error(prediction, 0.01), BAND) == FLOOR / 2
    assert level_uncertainty(with_error(prediction, 0.3), BAND) == pytest.approx(0.3)


def test_estimates_outside_the_band_do_not_count(prediction):
    outside = with_error(prediction, 0.0)
    outside.error_estimate[0] = 9.0
    assert level_uncertainty(outside, BAND) == FLOOR / 2


def test_level_error_at_a_frequency_is_the_estimate_there(prediction):
    rising = with_error(prediction, np.log2(prediction.frequency.values / 20.0))
    np.testing.assert_allclose(level_error(rising, np.array([1280.0, 5120.0])), [6.0, 8.0])
    assert np.isnan(level_error(rising, np.array([np.nan]))).all()


def test_tilt_bound_is_the_worst_case_of_least_squares():
    """Errors of ±u with the sign of the abscissa tilt a line by 3u per octaves of the band."""
    frequency = np.geomspace(300, 10_000, 4001)
    octaves = np.log2(10_000 / 300)
    middle = np.sqrt(300 * 10_000)
    error = xr.DataArray(U * np.sign(frequency - middle), dims="frequency")
    _, tilt = ripple_and_tilt(error, frequency, BAND, smoothing=None)
    assert float(tilt) == pytest.approx(3 * U / octaves, rel=2e-3)


def test_figures_of_the_band(prediction):
    answers = numbers_of(make_case(), prediction)
    u = FLOOR / 2
    assert float(answers.axis_tilt_uncertainty) == pytest.approx(3 * u / np.log2(10_000 / 300))
    assert float(answers.axis_ripple_uncertainty) == u
    assert (answers.seat_level_uncertainty == u).all()
    assert (answers.side_ripple_uncertainty == u).all()
    assert float(answers.side_difference_uncertainty) == 2 * u


def test_figures_at_a_frequency_take_the_estimate_there(solve_baffled_piston):
    """An error below 400 Hz alone concerns the crossover at 300 Hz, not the one at 2.5 kHz."""
    drivers = tuple(
        make_driver(name, y) for name, y in (("low", -0.1), ("middle", 0.0), ("high", 0.05))
    )
    crossover = (
        pass_branch("low", "low-pass", 320.0),
        pass_branch("high", "high-pass", 2500.0),
    )
    middle = pass_branch("middle", "band-pass", 0.0)
    section = middle.sections[0].__class__("band-pass", "linkwitz-riley", 4, 320.0, 2500.0)
    middle = middle.__class__("middle", sections=(section,))
    case = make_case(drivers, crossover=(crossover[0], middle, crossover[1]))
    prediction = predict(case, solve=solve_baffled_piston)
    error = np.where(prediction.frequency < 400.0, 1.0, 0.0)
    spread = numbers_of(case, with_error(prediction, error))
    np.testing.assert_allclose(spread.lobe_gain_uncertainty, [2.0, FLOOR], rtol=1e-6)
    low, high = spread.window_height_uncertainty.isel(ear_height=0).values
    sharp = numbers_of(case, prediction)
    assert high == pytest.approx(float(sharp.window_height_uncertainty[1, 0]))
    assert low > 0 or bool(spread.window_open[0].all())
    dips = spread.dip_frequency.values
    assert (dips < 400).all()
    np.testing.assert_allclose(spread.dip_frequency_uncertainty, dips * 2 * NEPER / np.pi)


@pytest.mark.parametrize("sign", [-1, 1])
def test_levels_that_are_all_off(prediction, sign):
    stated = numbers_of(make_case(), with_error(prediction, U))
    off = numbers_of(make_case(), wrong(prediction, "arc_total", sign * U))
    assert float(off.axis_level - stated.axis_level) == pytest.approx(
        sign * float(stated.axis_level_uncertainty)
    )


def test_left_and_right_off_in_opposite_ways(prediction):
    """A symmetric design, the right u too loud and the left u too quiet: rms difference 2u."""
    stated = numbers_of(make_case(), with_error(prediction, U))
    assert float(stated.side_difference) == pytest.approx(0.0, abs=1e-9)
    off = wrong(prediction, "arc_total", U * np.sign(prediction.angle))
    moved = float(numbers_of(make_case(), off).side_difference)
    assert moved == pytest.approx(float(stated.side_difference_uncertainty))
    assert moved == pytest.approx(2 * U)


def test_axis_off_against_the_main_lobe(solve_free_field):
    """Axis u too quiet, all else u too loud: the lobe stands 2u higher above it."""
    drivers = (make_driver("woofer", -0.05, acoustic_depth=0.03), make_driver("tweeter", 0.10))
    case = make_case(drivers, crossover=make_case().crossover, arc_step=2.0)
    prediction = predict(case, solve=solve_free_field)
    stated = numbers_of(case, with_error(prediction, U))
    assert abs(float(stated.lobe_direction[0])) > 5
    off = wrong(prediction, "arc_total", U * xr.where(abs(prediction.angle) < 5, -1.0, 1.0))
    moved = float((numbers_of(case, off).lobe_gain - stated.lobe_gain)[0])
    assert moved == pytest.approx(float(stated.lobe_gain_uncertainty[0]), rel=0.1)
    assert float(stated.lobe_gain_uncertainty[0]) == pytest.approx(2 * U)


def test_main_lobe_of_two_points_turns_no_further_than_stated(solve_free_field):
    """Two like points d apart far away: 20·lg cos(kd·sin θ/2), 2u below its top at θ₁ exactly."""
    d = 0.10
    drivers = (
        make_driver("woofer", -d / 2, position=(0.0, -d / 2)),
        make_driver("tweeter", d / 2, position=(0.0, d / 2)),
    )
    case = make_case(
        drivers,
        crossover=make_case().crossover,
        arc_step=2.0,
        reference=make_case().reference.__class__(point=(0.0, 0.0), distance=50.0),
    )
    prediction = with_error(predict(case, solve=solve_free_field), U)
    stated = numbers_of(case, prediction)
    k = 2 * np.pi * 2500.0 / 343.0
    expected = np.degrees(np.arcsin(2 * np.arccos(10 ** (-2 * U / 20)) / (k * d)))
    found = float(stated.lobe_direction_uncertainty[0])
    assert found == pytest.approx(expected, abs=0.3)  # looked for every 0.25°


def test_window_of_two_points_moves_as_stated(solve_free_field):
    """The ear u too loud and its surroundings u too quiet: the window is that for 3 dB − 2u."""
    drivers = (make_driver("woofer", -0.17), make_driver("tweeter", 0.17))
    case = make_case(drivers, crossover=make_case().crossover, seat=Seat(2.0, (ear := 0.8,)))
    prediction = predict(case, solve=solve_free_field)
    stated = numbers_of(case, with_error(prediction, U))
    away = xr.where(abs(prediction.height - ear) < 0.06, 1.0, -1.0)
    changes = []
    for sign in (1, -1):
        off = numbers_of(case, wrong(prediction, "height_total", sign * U * away))
        changes.append((off.window_height - stated.window_height).item())
    assert not stated.window_open.item()
    found = stated.window_height_uncertainty.item()
    assert changes[0] < 0 < changes[1]
    assert (changes[1] - changes[0]) / 2 == pytest.approx(found, rel=0.05)


def test_beamwidth_against_the_pistons_own_slope(solve_baffled_piston):
    """−6.00 ± 2u dB of 2·J₁(x)/x, solved for x (Beranek & Mellow, Acoustics, 2012; scipy's j1)."""
    from scipy.optimize import brentq
    from scipy.special import j1

    case = make_case([make_driver("only", piston_diameter=0.1)], arc_step=2.0)
    prediction = predict(case, solve=solve_baffled_piston)
    error = np.where(prediction.frequency > 2000, U, 0.0)
    prediction = with_error(prediction, error)
    answers = first_answers(case, prediction)
    spread = answer_uncertainty(prediction, answers)

    def width(drop: float, k: float) -> float:
        x = brentq(lambda x: 20 * np.log10(2 * j1(x) / x) + drop, 1e-3, 3.5)
        return 2 * np.degrees(np.arcsin(x / (k * 0.05)))

    k = 2 * np.pi * 4000 / 343.0
    expected = (width(6.0 + 2 * U, k) - width(6.0 - 2 * U, k)) / 2
    found = float(spread.beamwidth.sel(plane="horizontal", octave=4000.0))
    assert found == pytest.approx(expected, rel=0.1)  # levels are smoothed by 1/6 octave


@pytest.mark.parametrize("sign", [-1, 1])
def test_floor_dip_moves_no_further_than_stated(solve_free_field, sign):
    """The wave over the floor off by 2u in level, or by the same relative error in phase."""
    case = make_case([make_driver("only", 0.0)], floor=Floor(0.7))
    prediction = predict(case, solve=solve_free_field)
    stated = numbers_of(case, with_error(prediction, U))
    direct, both = (
        prediction.seat_total.sel(surroundings=where, drop=True)
        for where in ("free space", "with floor")
    )

    def moved(error: complex) -> xr.Dataset:
        seat = xr.concat([direct, direct + (both - direct) * np.exp(error)], "surroundings")
        seat = seat.assign_coords(surroundings=prediction.surroundings)
        off = prediction.assign(seat_total=seat.transpose(*prediction.seat_total.dims))
        names = ["dip_depth", "dip_frequency"]
        return numbers_of(case, off)[names] - stated[names]

    deeper = moved(sign * 2 * U * NEPER).dip_depth
    np.testing.assert_allclose(deeper, sign * stated.dip_depth_uncertainty, rtol=0.1)
    later = moved(sign * 2j * U * NEPER).dip_frequency
    np.testing.assert_allclose(abs(later), stated.dip_frequency_uncertainty, rtol=0.05)


def test_every_number_has_its_uncertainty(prediction):
    numbers = numbers_of(make_case(), prediction)
    plain = [
        name
        for name in numbers.data_vars
        if not str(name).endswith("_uncertainty") and numbers[name].dtype.kind == "f"
    ]
    assert len(plain) > 15
    for name in plain:
        spread = numbers[f"{name}_uncertainty"]
        assert set(spread.dims) == set(numbers[name].dims)
        known = np.isfinite(numbers[name].transpose(*spread.dims).values)
        assert np.isfinite(spread.values[known]).all(), name


def test_a_floor_without_a_dip_has_depth_zero(solve_free_field):
    """A floor that reflects a twentieth makes ripples of less than 1 dB: 20·lg(1.05) = 0.42 dB."""
    case = make_case(floor=Floor(0.05))
    numbers = numbers_of(case, predict(case, solve=solve_free_field))
    assert (numbers.dip_depth == 0).all()
    assert (numbers.dip_depth_uncertainty == FLOOR / 2).all()
