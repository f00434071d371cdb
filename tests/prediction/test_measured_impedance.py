"""A measured impedance in a prediction: the load of its filter, and where its table ends."""

from __future__ import annotations

import numpy as np
import pytest
import xarray as xr

from acoustics.case.design.impedance_model import MeasuredImpedance
from acoustics.case.design.model import Branch, FrequencyGrid
from acoustics.case.design.network_model import Element
from acoustics.conventions import VARIABLES
from acoustics.prediction import predict
from acoustics.report.passive_crossover import passive_crossover
from acoustics.storage import open_prediction, save
from support.cases import make_case, make_driver
from support.free_field import solve_free_field

QUICK = {"frequencies": FrequencyGrid(20.0, 20_000.0, 3), "arc_step": 10.0, "accuracy": 1.0}
COIL = 1e-3


def resistor(beyond):
    """7 ohm from 50 Hz to 5 kHz, so that whatever lies beyond is 7 ohm too."""
    return MeasuredImpedance("made-up.csv", (50.0, 500.0, 5000.0), (7.0,) * 3, (0.0,) * 3, beyond)


def predicted(beyond=True):
    case = make_case(
        [make_driver("woofer", -0.05, impedance=resistor(beyond)), make_driver("tweeter", 0.1)],
        crossover=(
            Branch("woofer", slopes="passive", elements=(Element("series", inductor=COIL),)),
        ),
        **QUICK,
    )
    return case, predict(case, solve=solve_free_field)


@pytest.fixture(scope="module")
def prediction():
    return predicted()[1]


def test_it_is_the_load_of_the_crossover(prediction):
    s = 2j * np.pi * prediction.frequency.values
    woofer = {"driver": "woofer"}
    np.testing.assert_allclose(prediction.impedance.sel(woofer), 7.0, rtol=1e-12)
    assert prediction.impedance.sel(driver="tweeter").isnull().all()
    np.testing.assert_allclose(prediction["filter"].sel(woofer), 7 / (7 + s * COIL), rtol=1e-12)
    np.testing.assert_allclose(prediction.input_impedance, 7 + s * COIL, rtol=1e-12)


def test_where_its_table_has_ended_is_marked(prediction, tmp_path):
    frequency = prediction.frequency.values
    past = prediction.impedance_extrapolated
    assert past.dtype == bool
    assert past.dims == VARIABLES["impedance_extrapolated"].dims
    np.testing.assert_array_equal(
        past.sel(driver="woofer"), (frequency < 50.0) | (frequency > 5000.0)
    )
    assert not past.sel(driver="tweeter").any()
    save(prediction, tmp_path / "prediction.nc")
    xr.testing.assert_identical(open_prediction(tmp_path / "prediction.nc"), prediction)
    assert open_prediction(tmp_path / "prediction.nc").impedance_extrapolated.dtype == bool


def test_the_summary_says_so(prediction):
    case, _ = predicted()
    text = " ".join(passive_crossover(case, prediction)[0])
    assert "woofer counts with its impedance as measured, made-up.csv." in text
    assert "The table is carried on below 50 Hz and above 5 kHz, which is a guess." in text
    assert "counts as a resistor" not in text


def test_a_table_that_may_not_go_on_marks_nothing():
    case, prediction = predicted(beyond=False)
    assert "impedance_extrapolated" not in prediction
    text = " ".join(passive_crossover(case, prediction)[0])
    assert "made-up.csv" in text
    assert "carried on" not in text
