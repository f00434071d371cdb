"""The figures that a summary and a comparison start from."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.case.design.model import FrequencyGrid
from acoustics.conventions import RoundoverError
from acoustics.listening import key_figures
from acoustics.prediction import predict
from acoustics.storage import open_prediction, save


@pytest.fixture(scope="module")
def answered(make_case, solve_free_field):
    case = make_case()
    prediction = predict(case, solve=solve_free_field)
    return case, prediction, key_figures(case, prediction)


def test_every_figure_has_a_meaning_and_every_number_a_unit(answered):
    _, _, answers = answered
    for variable in answers.variables.values():
        assert variable.attrs["long_name"]
        if variable.dtype.kind == "f":
            assert variable.attrs["units"]
    assert set(answers.dims) == {
        "ear_height",
        "plane",
        "octave",
        "crossover",
        "driver",
        "listener",
        "surface",
    }


def test_figures_of_a_flat_two_way(answered):
    _, _, answers = answered
    # Two in-phase point sources: 88 dB in half space is 82 dB in free space at 1 m (method of
    # images), 76 dB at 2 m.
    assert float(answers.axis_level) == pytest.approx(88 - 12.04, abs=0.2)
    assert float(answers.axis_ripple) < 0.1
    assert answers.octave.values.tolist() == [250.0, 500, 1000, 2000, 4000, 8000, 16000]
    assert answers.crossover_frequency.values == pytest.approx([2500.0], rel=1e-3)
    assert answers.lobe_sampled.values.tolist() == [True]
    # The woofer is at 0.74 m, the ears 2.5 m away (method of images).
    for i, ear in enumerate((0.9, 1.1)):
        near, far = np.hypot(2.5, ear - 0.74), np.hypot(2.5, ear + 0.74)
        for dip in ("dip", "deepest_dip"):
            frequency = float(answers[f"{dip}_frequency"].squeeze()[i])
            assert frequency == pytest.approx(343 / (2 * (far - near)), rel=0.02)
            depth = float(answers[f"{dip}_depth"].squeeze()[i])
            assert depth == pytest.approx(-20 * np.log10(1 - near / far), abs=0.5)
    # Equal sources 0.15 m apart, 2.5 kHz: 3 dB down on either side of the middle (0.815 m) where
    # the paths differ by a quarter wavelength, cos(π/4); the seat is nearly in the far field.
    above = 0.815 + 343 / 2500 / 4 / 0.15 * 2.5
    assert above == pytest.approx(1.387, abs=0.001)
    high = float(answers.window_high.squeeze()[0])
    assert high == pytest.approx(above, abs=0.08)


def test_a_saved_prediction_gives_the_same_answers(answered, tmp_path):
    case, prediction, answers = answered
    again = key_figures(case, open_prediction(save(prediction, tmp_path / "p.nc")))
    assert again.equals(answers)


def test_a_band_that_was_not_predicted_gives_nan_not_a_guess(make_case, solve_free_field):
    case = make_case(frequencies=FrequencyGrid(500.0, 8000.0, 24))
    answers = key_figures(case, predict(case, solve=solve_free_field))
    for name in ("axis_ripple", "seat_tilt", "axis_level", "side_difference", "least_beamwidth"):
        assert np.isnan(answers[name]).all()
    assert answers.octave.values.tolist() == [500.0, 1000.0, 2000.0, 4000.0, 8000.0]


def test_a_grid_too_coarse_for_the_smoothing_gives_nan(make_case, solve_free_field):
    case = make_case(frequencies=FrequencyGrid(20.0, 20e3, 6))
    answers = key_figures(case, predict(case, solve=solve_free_field))
    for name in ("axis_ripple", "seat_ripple", "axis_tilt", "side_difference", "least_beamwidth"):
        assert np.isnan(answers[name]).all()
    assert np.isfinite(answers.axis_level)


def test_a_single_driver_has_answers_without_crossovers(make_case, make_driver, solve_free_field):
    case = make_case([make_driver("one")])
    answers = key_figures(case, predict(case, solve=solve_free_field))
    assert answers.sizes["crossover"] == 0
    assert float(answers.axis_ripple) == pytest.approx(0, abs=1e-9)


def test_a_prediction_of_another_design_is_refused(answered, make_case):
    _, prediction, _ = answered
    with pytest.raises(RoundoverError, match="another design"):
        key_figures(make_case(digest="f" * 64), prediction)
