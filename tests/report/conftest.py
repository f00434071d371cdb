"""A two-way, predicted with a stand-in for the field solver, to write about."""

from __future__ import annotations

import pytest

from acoustics.listening import key_figures
from acoustics.prediction import predict
from acoustics.report.summary import summary
from support.cases import make_case


@pytest.fixture(scope="session")
def summed_up(solve_free_field):
    """`summed_up(solve=, error=, **changes)`: the summary of a case, as one line of text."""

    def write(solve=solve_free_field, error=None, one_line=True, **changes):
        case = make_case(**changes)
        prediction = predict(case, solve=solve)
        if error is not None:
            estimate = 0 * prediction.frequency + error
            prediction = prediction.assign_coords(error_estimate=("frequency", estimate.values))
        text = summary(case, prediction)
        return " ".join(text.split()) if one_line else text

    return write


@pytest.fixture(scope="session")
def known(solve_free_field):
    """`known(**changes)`: case, prediction and first answers, the latter to be changed at will."""
    made = {}

    def of(solve=solve_free_field, **changes):
        case = make_case(**changes)
        if (case, solve) not in made:
            prediction = predict(case, solve=solve)
            made[case, solve] = prediction, key_figures(case, prediction)
        prediction, answers = made[case, solve]
        return case, prediction, answers.copy(deep=True)

    return of
