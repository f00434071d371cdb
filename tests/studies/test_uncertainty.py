"""The solver's error, carried into the answers, against errors put in by hand."""

from __future__ import annotations

import numpy as np
import pytest
import xarray as xr

from acoustics.case.model import Floor
from acoustics.listening import first_answers, ripple_and_tilt
from acoustics.prediction import predict
from acoustics.studies.numbers import numbers_of
from acoustics.studies.uncertainty import FLOOR, answer_uncertainty, level_uncertainty
from support.cases import make_case, make_driver

BAND = (300.0, 10_000.0)


@pytest.fixture(scope="module")
def prediction(solve_baffled_piston):
    return predict(make_case(), solve=solve_baffled_piston)


def with_error(prediction: xr.Dataset, decibels: float) -> xr.Dataset:
    error = xr.full_like(prediction.frequency, decibels)
    return prediction.assign_coords(error_estimate=("frequency", error.values))


def test_level_error_is_the_solvers_estimate_but_no_less_than_half_the_floor(prediction):
    assert level_uncertainty(prediction, BAND) == FLOOR / 2
    assert level_uncertainty(with_error(prediction, 0.01), BAND) == FLOOR / 2
    assert level_uncertainty(with_error(prediction, 0.3), BAND) == pytest.approx(0.3)


def test_estimates_outside_the_band_do_not_count(prediction):
    outside = with_error(prediction, 0.0)
    outside.error_estimate[0] = 9.0
    assert level_uncertainty(outside, BAND) == FLOOR / 2


def test_tilt_bound_is_the_worst_case_of_least_squares():
    """Errors of ±u with the sign of the abscissa tilt a line by 3u per octaves of the band."""
    frequency = np.geomspace(300, 10_000, 4001)
    octaves = np.log2(10_000 / 300)
    u = 0.2
    middle = np.sqrt(300 * 10_000)
    error = xr.DataArray(u * np.sign(frequency - middle), dims="frequency")
    _, tilt = ripple_and_tilt(error, frequency, BAND, smoothing=None)
    assert float(tilt) == pytest.approx(3 * u / octaves, rel=2e-3)


def test_tilt_and_ripple(prediction):
    answers = numbers_of(make_case(), prediction)
    u = FLOOR / 2
    assert float(answers.axis_tilt_uncertainty) == pytest.approx(3 * u / np.log2(10_000 / 300))
    assert float(answers.axis_ripple_uncertainty) == u
    assert (answers.seat_level_uncertainty == u).all()
    assert (answers.side_ripple_uncertainty == u).all()


def test_beamwidth_against_the_pistons_own_slope(solve_baffled_piston):
    """−6.00 ± u dB of 2·J₁(x)/x, solved for x (Beranek & Mellow, Acoustics, 2012; scipy's j1)."""
    from scipy.optimize import brentq
    from scipy.special import j1

    case = make_case([make_driver("only", piston_diameter=0.1)], arc_step=2.0)
    prediction = with_error(predict(case, solve=solve_baffled_piston), 0.2)
    answers = first_answers(case, prediction)
    spread = answer_uncertainty(prediction, answers)

    def width(drop: float, k: float) -> float:
        x = brentq(lambda x: 20 * np.log10(2 * j1(x) / x) + drop, 1e-3, 3.5)
        return 2 * np.degrees(np.arcsin(x / (k * 0.05)))

    k = 2 * np.pi * 4000 / 343.0
    expected = (width(6.2, k) - width(5.8, k)) / 2
    found = float(spread.beamwidth.sel(plane="horizontal", octave=4000.0))
    assert found == pytest.approx(expected, rel=0.1)  # levels are smoothed by 1/6 octave


@pytest.mark.parametrize("sign", [-1, 1])
def test_floor_dip_moves_no_further_than_stated(sign):
    """Two waves, one of them off by u in level, or by the same relative error in phase."""
    u, ratio, delay = 0.1, 0.7, 1e-3
    frequency = np.linspace(300, 700, 400_001)  # first dip at 500 Hz

    def dip(error: complex) -> tuple[float, float]:
        wave = 1 + ratio * np.exp(error) * np.exp(-2j * np.pi * frequency * delay)
        level = 20 * np.log10(np.abs(wave))
        i = int(level.argmin())
        return float(frequency[i]), -float(level[i])

    relative = u * np.log(10) / 20
    where, depth = dip(0)
    stated = (depth, u * 10 ** (depth / 20), where * relative / np.pi)
    assert abs(dip(sign * relative)[1] - depth) <= stated[1]
    assert abs(dip(sign * relative)[1] - depth) > 0.4 * stated[1]
    moved = abs(dip(sign * 1j * relative)[0] - where)
    assert moved == pytest.approx(stated[2], rel=0.01)


def test_every_number_has_its_uncertainty(prediction):
    numbers = numbers_of(make_case(), prediction)
    plain = [
        name
        for name in numbers.data_vars
        if not str(name).endswith("_uncertainty") and numbers[name].dtype.kind == "f"
    ]
    assert plain
    for name in plain:
        spread = numbers[f"{name}_uncertainty"]
        assert set(spread.dims) == set(numbers[name].dims)
        assert (spread.fillna(0) >= 0).all()


def test_a_floor_without_a_dip_has_depth_zero(solve_free_field):
    """A floor that reflects a twentieth makes ripples of less than 1 dB: 20·lg(1.05) = 0.42 dB."""
    case = make_case(floor=Floor(0.05))
    numbers = numbers_of(case, predict(case, solve=solve_free_field))
    assert (numbers.dip_depth == 0).all()
    assert (numbers.dip_depth_uncertainty == FLOOR / 2).all()
