"""Coefficients are told of a crossover that a processor plays, and of no other."""

from __future__ import annotations

import pytest
import xarray as xr

from acoustics.conventions import RoundoverError
from acoustics.crossover.coefficients import channels_of


def test_an_analogue_crossover_has_no_coefficients(make_case):
    case = make_case(path="some/case.toml")
    prediction = xr.Dataset(attrs={"case_digest": case.digest})
    with pytest.raises(RoundoverError, match=r"^some/case.toml: .*analogue.*\[processor\]"):
        channels_of(case, prediction)


def test_a_prediction_of_another_design_is_refused(make_case):
    prediction = xr.Dataset(attrs={"case_digest": "another"})
    with pytest.raises(RoundoverError, match="belongs to another design"):
        channels_of(make_case(), prediction)
