"""What the summary, the check and the figures say of drivers that were measured."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.measured_model import MeasuredResponse
from acoustics.case.design.model import FrequencyGrid
from acoustics.figures.shading import CARRIED_ON, MEANING, meaning
from acoustics.listening import doubtful_bands
from acoustics.prediction import predict
from acoustics.report.basis import left_out
from acoustics.report.case_words import description
from acoustics.report.measured_sources import as_measured
from support.cases import make_case, make_driver
from support.free_field import solve_free_field

QUICK = {"frequencies": FrequencyGrid(100.0, 10_000.0, 6), "arc_step": 10.0}
ROWS = np.geomspace(50.0, 20_000.0, 300)


def heard(decibels=0.0, **changes):
    """A point source of 88 dB at 1 m for 2.83 V in half space, free: half of it; and `decibels`."""
    size = 20e-6 * 10 ** ((88 + decibels) / 20) / 2 / 2.83
    values = size * np.exp(-2j * np.pi * ROWS / 343.0)
    given = {
        "source": "made-up.txt",
        "frequency": tuple(ROWS.tolist()),
        "real": tuple(values.real.tolist()),
        "imaginary": tuple(values.imag.tolist()),
        "distance": 1.0,
        "at": "driver",
        "point": None,
        "removed_delay": 0.0,
        "unknown_delay": False,
        "band": (300.0, 3000.0),
        "uncertainty": 0.5,
        "noise": 0.0,
        "modelled": True,
    }
    return MeasuredResponse(**{**given, **changes})


def told(decibels=0.0, **changes):
    case = make_case([make_driver("woofer", measured=heard(decibels, **changes))], **QUICK)
    prediction = predict(case, solve=solve_free_field)
    (point,) = as_measured(case, prediction)
    return case, prediction, point


def test_the_band_the_uncertainty_and_how_it_joins():
    _, prediction, point = told(2.0)
    assert point.startswith("woofer plays as measured (made-up.txt, 300 Hz to 3 kHz, level ±0.5 dB")
    assert (
        "What it does below 300 Hz and above 3 kHz its sensitivity says, moved by +2.0 dB and "
        "+2.0 dB to meet the measurement."
    ) in point
    np.testing.assert_allclose(prediction.source_mismatch, 2.0, atol=1e-3)
    assert "check voltage" not in point
    assert "Least sure" not in point


def test_far_from_the_model_is_worth_a_look():
    assert "moved by −8.0 dB and −8.0 dB" in told(-8.0)[2]
    assert "(check voltage, unit and distance)" in told(-8.0)[2]


def test_nothing_of_joins_where_the_table_covers_all():
    point = told(band=(50.0, 20_000.0), uncertainty=0.0)[2]
    assert point == (
        "woofer plays as measured (made-up.txt, 111 Hz to 8.98 kHz); which way its sound goes is "
        "the piston's."
    )


def test_guesses_are_called_guesses():
    point = told(modelled=False)[2]
    assert "It is carried on below 300 Hz and above 3 kHz, which is a guess." in point
    point = told(unknown_delay=True)[2]
    assert "From when its phase counts is not known" in point


def test_noise_and_nulls_are_told():
    loud = 20e-6 * 10 ** (76 / 20) / 2.83
    assert "Least sure near" in told(noise=loud)[2]
    assert "null" not in told(noise=loud)[2]
    case, prediction, _ = told()
    field = prediction.microphone_field.copy()
    uncertain = prediction.source_uncertainty.copy()
    at = {"frequency": 20}
    field[at] = field[at] / 100
    uncertain[at] = 6.0
    spoilt = prediction.assign(microphone_field=field, source_uncertainty=uncertain)
    (point,) = as_measured(case, spoilt)
    assert float(prediction.frequency[20]) == pytest.approx(1122, abs=1)
    assert "Least sure near 1.12 kHz, where" in point
    assert "the microphone stood in a null of the field (39 dB below its neighbours)" in point


def test_nothing_is_said_where_nothing_was_measured():
    case = make_case([make_driver("woofer")], **QUICK)
    assert as_measured(case, predict(case, solve=solve_free_field)) == []


def test_a_low_end_that_was_measured_is_known():
    case = told()[0]
    (driver,) = case.drivers
    assert driver.low_end_known(300.0)
    assert not driver.low_end_known(200.0)
    assert "roll-off of the drivers" in left_out(case, told()[1])
    case, prediction, _ = told(band=(50.0, 20_000.0))
    assert "roll-off" not in left_out(case, prediction)


def test_check_says_it_in_a_line():
    case, _, _ = told()
    line = "as measured 1 m in front of it, 300 Hz to 3 kHz (made-up.txt)"
    assert any(each.strip() == line for each in description(case))
    blind = told(modelled=False, at="reference axis")[0]
    line = (
        "as measured 1 m in front of the reference point, 300 Hz to 3 kHz (made-up.txt), and "
        "nothing is known beyond"
    )
    assert any(each.strip() == line for each in description(blind))


@pytest.mark.parametrize(("modelled", "said"), [(True, MEANING), (False, CARRIED_ON)])
def test_figures_say_what_their_grey_is(modelled, said):
    case, prediction, _ = told(modelled=modelled)
    low = replace(case.drivers[0], breakup=5000.0)
    prediction = prediction.assign_coords(
        trusted_to=("driver", [low.trusted_to(case.air.speed_of_sound)])
    )
    assert meaning(doubtful_bands(prediction), prediction) == said
    assert meaning((), prediction) == ""
