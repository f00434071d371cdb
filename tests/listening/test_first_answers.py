"""The figures that a summary and a comparison start from."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.case.model import FrequencyGrid
from acoustics.conventions import RoundoverError
from acoustics.listening import first_answers, floor_bounce, lobing
from acoustics.prediction import predict
from acoustics.storage import open_prediction, save


@pytest.fixture(scope="module")
def answered(make_case, solve_free_field):
    case = make_case()
    prediction = predict(case, solve=solve_free_field)
    return case, prediction, first_answers(case, prediction)


def test_every_figure_has_a_meaning_and_every_number_a_unit(answered):
    _, _, answers = answered
    for variable in answers.variables.values():
        assert variable.attrs["long_name"]
        if variable.dtype.kind == "f":
            assert variable.attrs["units"]
    assert set(answers.dims) == {"ear_height", "plane", "octave", "crossover"}


def test_figures_agree_with_where_they_come_from(answered):
    _, prediction, answers = answered
    np.testing.assert_array_equal(answers.dip_depth, floor_bounce(prediction).dip_depth)
    np.testing.assert_array_equal(answers.window_height, lobing(prediction).window_height)
    # Two in-phase point sources: the arithmetic of a flat two-way (88 dB half space, 2 m).
    assert float(answers.axis_level) == pytest.approx(88 - 12.04, abs=0.2)
    assert float(answers.axis_ripple) < 0.1
    assert answers.octave.values.tolist() == [250.0, 500, 1000, 2000, 4000, 8000, 16000]


def test_a_saved_prediction_gives_the_same_answers(answered, tmp_path):
    case, prediction, answers = answered
    again = first_answers(case, open_prediction(save(prediction, tmp_path / "p.nc")))
    assert again.equals(answers)


def test_a_band_that_was_not_predicted_gives_nan_not_a_guess(make_case, solve_free_field):
    case = make_case(frequencies=FrequencyGrid(500.0, 8000.0, 24))
    answers = first_answers(case, predict(case, solve=solve_free_field))
    for name in ("axis_ripple", "seat_tilt", "axis_level", "side_difference", "least_beamwidth"):
        assert np.isnan(answers[name]).all()
    assert answers.octave.values.tolist() == [500.0, 1000.0, 2000.0, 4000.0, 8000.0]


def test_a_single_driver_has_answers_without_crossovers(make_case, make_driver, solve_free_field):
    case = make_case([make_driver("one")])
    answers = first_answers(case, predict(case, solve=solve_free_field))
    assert answers.sizes["crossover"] == 0
    assert float(answers.axis_ripple) == pytest.approx(0, abs=1e-9)


def test_a_prediction_of_another_design_is_refused(answered, make_case):
    _, prediction, _ = answered
    with pytest.raises(RoundoverError, match="another design"):
        first_answers(make_case(digest="f" * 64), prediction)
