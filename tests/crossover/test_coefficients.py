"""Coefficients are told of a crossover that a processor plays, and of no other."""

from __future__ import annotations

import numpy as np
import pytest
import xarray as xr
from scipy import signal

from acoustics.conventions import RoundoverError
from acoustics.crossover.coefficients import Channel, Stage, channels_of


def test_an_analogue_crossover_has_no_coefficients(make_case):
    case = make_case(path="some/case.toml")
    prediction = xr.Dataset(attrs={"case_digest": case.digest})
    with pytest.raises(RoundoverError, match=r"^some/case.toml: .*analogue.*\[processor\]"):
        channels_of(case, prediction)


def test_a_prediction_of_another_design_is_refused(make_case):
    prediction = xr.Dataset(attrs={"case_digest": "another"})
    with pytest.raises(RoundoverError, match="belongs to another design"):
        channels_of(make_case(), prediction)


def test_a_channel_is_the_cascade_of_all_it_holds():
    """By scipy's freqz of each polynomial, at 48 kHz; −6 dB, turned over, 5 samples late."""
    frequency, rate = np.array([60.0, 997.0, 15_000.0]), 48_000.0
    rows = (0.5, 0.2, 0.1, 1.0, -0.3, 0.4), (1.0, -1.2, 0.5, 1.0, -0.9, 0.2)
    taps = np.array([0.4, 0.3, -0.1]), np.array([1.0, 0.25])
    stages = tuple(Stage("section", row) for row in rows)
    found = Channel("high", ("tweeter",), stages, taps, -6.0, 5, True).response(frequency, rate)
    expected = -(10 ** (-6 / 20)) * np.exp(-2j * np.pi * frequency * 5 / rate)
    for b, a in [*((row[:3], row[3:]) for row in rows), *((each, [1.0]) for each in taps)]:
        expected = expected * signal.freqz(b, a, frequency, fs=rate)[1]
    assert found == pytest.approx(expected, rel=1e-12)
    plain = Channel("high", ("tweeter",), (), (), 0.0, 0, False).response(frequency, rate)
    assert plain == pytest.approx(np.ones(3))
