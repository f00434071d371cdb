"""The solver's error, carried into the answers, against errors put in by hand."""

from __future__ import annotations

import numpy as np
import pytest
import xarray as xr

from acoustics.case.design.model import Cabinet, FrequencyGrid, ReferenceAxis, Surface
from acoustics.listening import key_figures, ripple_and_tilt, standard_curves, window_ripple
from acoustics.listening.error import FLOOR, NEPER, level_error, level_uncertainty
from acoustics.listening.uncertainty import answer_uncertainty
from acoustics.prediction import predict
from acoustics.studies.yardsticks.rated_figures import numbers_of
from support.cases import make_case, make_driver, pass_branch, seat_at

BAND = (300.0, 10_000.0)
U = 0.2
"""dB: error put in"""


@pytest.fixture(scope="module")
def prediction(solve_baffled_piston):
    case = make_case(frequencies=FrequencyGrid(per_octave=12), arc_step=10.0)
    return predict(case, solve=solve_baffled_piston)


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
    ear = {"listener": 0, "ear_height": 0}
    low, high = spread.window_height_uncertainty.isel(ear).values
    sharp = numbers_of(case, prediction)
    assert high == pytest.approx(float(sharp.window_height_uncertainty.isel(ear)[1]))
    assert low > 0 or bool(spread.window_open.isel(ear)[0])
    dips = spread.dip_frequency.values
    assert (dips < 400).all()
    np.testing.assert_allclose(spread.dip_frequency_uncertainty, dips * 2 * NEPER / np.pi)


def test_a_null_on_the_axis_is_less_sure(prediction):
    """40 dB down over two octaves: 20 dB beyond what the estimate holds for, so ten times it."""
    null = xr.where(abs(np.log2(prediction.frequency / 1000.0)) < 1.0, -40.0, 0.0)
    deep = wrong(prediction, "arc_total", null.where(prediction.angle == 0.0, 0.0))
    spread = numbers_of(make_case(), with_error(deep, U))
    most = float(abs(deep.arc_total).max() / abs(deep.arc_total.sel(angle=0.0)).min())
    assert most > 100.0
    assert float(spread.axis_ripple_uncertainty) == pytest.approx(10 * U, rel=0.1)
    assert float(spread.axis_level_uncertainty) == pytest.approx(U)
    assert float(spread.window_ripple_uncertainty) == pytest.approx(U)


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
    case = make_case(drivers, crossover=make_case().crossover, seat=seat_at(2.0, (ear := 0.8,)))
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
    answers = key_figures(case, prediction)
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
    case = make_case([make_driver("only", 0.0)], surfaces=(Surface("floor", 0.0, 0.7),))
    prediction = predict(case, solve=solve_free_field)
    stated = numbers_of(case, with_error(prediction, U))
    over_the_floor = prediction.path == "floor"

    def moved(error: complex) -> xr.Dataset:
        turned = xr.where(over_the_floor, np.exp(error), 1.0)
        off = prediction.assign(
            {
                name: (prediction[name] * turned).transpose(*prediction[name].dims)
                for name in ("seat_field", "seat_pressure")
            }
        )
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
    places = {"height_span_frequency", "aside_span_frequency"}
    assert set(plain) >= places
    assert len(plain) > 30
    for name in set(plain) - places:
        spread = numbers[f"{name}_uncertainty"]
        assert set(spread.dims) == set(numbers[name].dims)
        known = np.isfinite(numbers[name].transpose(*spread.dims).values)
        assert np.isfinite(spread.values[known]).all(), name
        assert (spread.values[known] >= 0).all(), name


def window_of(prediction: xr.Dataset) -> xr.DataArray:
    """True in the directions of the listening window, horizontal to 30 and vertical to 10°."""
    reach = xr.DataArray([30.0, 10.0], dims="plane", coords={"plane": prediction.plane})
    return abs(prediction.angle) <= reach + 1e-9


def worst_error(curve: xr.DataArray) -> xr.DataArray:
    """An error of ±U that lifts a curve where it lies above its straight line, and else lowers it.

    Smoothed over half an octave, so that the smoothing of figures leaves it whole.
    """
    x = np.log2(curve.frequency.values)
    inside = (curve.frequency.values >= BAND[0]) & (curve.frequency.values <= BAND[1])
    line = np.polyval(np.polyfit(x[inside], curve.values[inside], 1), x)
    away = np.convolve(curve.values - line, np.ones(5) / 5, mode="same")
    return xr.DataArray(U * np.sign(away), dims="frequency", coords={"frequency": curve.frequency})


@pytest.mark.parametrize(
    ("curve", "name"),
    [("listening_window", "window_ripple"), ("estimated_in_room", "room_ripple")],
)
def test_ripples_of_the_standard_curves(prediction, curve, name):
    stated = numbers_of(make_case(), with_error(prediction, U))
    error = worst_error(standard_curves(prediction)[curve])
    off = numbers_of(make_case(), wrong(prediction, "arc_total", error))
    moved = float(off[name]) - float(stated[name])
    assert 0.7 * U < moved < 1.3 * U  # the straight line turns a little, too
    assert float(stated[f"{name}_uncertainty"]) == pytest.approx(U)


@pytest.mark.parametrize("name", ["window_tilt", "room_tilt"])
def test_tilts_of_the_standard_curves(prediction, name):
    stated = numbers_of(make_case(), with_error(prediction, U))
    error = U * np.sign(np.log(prediction.frequency / np.sqrt(BAND[0] * BAND[1])))
    off = numbers_of(make_case(), wrong(prediction, "arc_total", error))
    moved = float(off[name]) - float(stated[name])
    assert moved == pytest.approx(float(stated[f"{name}_uncertainty"]), rel=0.03)


def test_ripple_relative_to_the_axis_may_be_off_twice(prediction):
    """The axis is off by as much as the worst direction, the other way."""
    stated = numbers_of(make_case(), with_error(prediction, U))
    ripples = window_ripple(prediction)
    worst = ripples.relative_level.sel(direction=str(ripples.worst_direction.values))
    error = worst_error(worst.reset_coords(drop=True))
    side = xr.where(prediction.angle == 0, -1.0, 1.0)
    off = numbers_of(make_case(), wrong(prediction, "arc_total", side * error))
    moved = float(off.relative_ripple - stated.relative_ripple)
    assert 1.4 * U < moved < 2.6 * U
    assert float(stated.relative_ripple_uncertainty) == pytest.approx(2 * U)


def test_directivity_index_may_be_off_twice(prediction):
    """The window too loud, all else too quiet; a tenth or so of the power is in the window."""
    stated = numbers_of(make_case(), with_error(prediction, U))
    error = xr.where(window_of(prediction), U, -U)
    off = numbers_of(make_case(), wrong(prediction, "arc_total", error))
    moved = float(off.power_index - stated.power_index)
    assert 1.4 * U < moved <= 2 * U
    assert float(stated.power_index_uncertainty) == pytest.approx(2 * U)


@pytest.mark.parametrize(("line", "name"), [("height", "height_span"), ("aside", "aside_span")])
def test_spans_of_two_points_move_as_stated(solve_free_field, line, name):
    """The ear u too loud and its surroundings u too quiet: the span is that for 3 dB − 2u."""
    apart = (0.0, 0.17) if line == "height" else (0.17, 0.0)
    drivers = tuple(
        make_driver(driver, position=(sign * apart[0], sign * apart[1]))
        for driver, sign in (("woofer", -1), ("tweeter", 1))
    )
    case = make_case(
        drivers,
        crossover=make_case().crossover,
        cabinet=Cabinet(0.45, 0.45, 0.3, 0.575),
        reference=ReferenceAxis((0.0, 0.0), 2.0),
        seat=seat_at(2.0, (ear := 0.8,)),
    )
    prediction = predict(case, solve=solve_free_field)
    stated = numbers_of(case, with_error(prediction, U))
    away = prediction[line] - (ear if line == "height" else 0.0)
    error = xr.where(abs(away) < 0.06, 1.0, -1.0)
    changes = []
    for sign in (1, -1):
        off = numbers_of(case, wrong(prediction, f"{line}_total", sign * U * error))
        changes.append((off[name] - stated[name]).item())
    assert not stated[f"{name}_open"].item()
    assert changes[0] < 0 < changes[1]
    found = stated[f"{name}_uncertainty"].item()
    assert (changes[1] - changes[0]) / 2 == pytest.approx(found, rel=0.1)


@pytest.fixture(scope="module")
def stepped(solve_free_field):
    """One driver whose level on the axis rises by 6.02 dB with f²/(f² + 500²)."""

    def solve(*args, **kwargs):
        field = solve_free_field(*args, **kwargs)
        squared = (field.frequency / 500.0) ** 2
        return field * (1 + squared / (1 + squared))

    case = make_case([make_driver("only")])
    return case, predict(case, solve=solve)


@pytest.mark.parametrize("sign", [-1, 1])
def test_baffle_step_moves_as_stated(stepped, sign):
    """Below the step too loud, above it too quiet: it begins later and rises by 2u less."""
    case, prediction = stepped
    stated = numbers_of(case, with_error(prediction, U))
    error = sign * U * xr.where(prediction.frequency < 100.0, 1.0, -1.0)
    off = numbers_of(case, wrong(prediction, "cone_field", error))
    later = float((off.half_step_frequency - stated.half_step_frequency)[0])
    assert later * sign > 0
    assert abs(later) == pytest.approx(float(stated.half_step_frequency_uncertainty[0]), rel=0.15)
    smaller = float((stated.step_rise - off.step_rise)[0])
    assert smaller == pytest.approx(sign * float(stated.step_rise_uncertainty[0]), abs=1e-6)
    assert float(stated.step_rise_uncertainty[0]) == pytest.approx(2 * U)


def test_a_half_step_that_the_error_may_take_away_is_not_known(stepped):
    """With 2u of 4 dB the level may not rise by half a step at all."""
    case, prediction = stepped
    found = numbers_of(case, with_error(prediction, 2.0))
    assert float(found.half_step_frequency_uncertainty[0]) == float(found.half_step_frequency[0])


def test_a_floor_without_a_dip_has_depth_zero(solve_free_field):
    """A floor that reflects a twentieth makes ripples of less than 1 dB: 20·lg(1.05) = 0.42 dB."""
    case = make_case(surfaces=(Surface("floor", 0.0, 0.05),))
    numbers = numbers_of(case, predict(case, solve=solve_free_field))
    assert (numbers.dip_depth == 0).all()
    assert (numbers.dip_depth_uncertainty == FLOOR / 2).all()
