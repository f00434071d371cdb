"""Predictions to write out: point sources in free space, names that mean harm."""

from __future__ import annotations

from acoustics.case.design.model import FrequencyGrid
from acoustics.prediction import predict
from support.cases import make_case, make_driver, pass_branch
from support.free_field import solve_free_field

HARMFUL = '=HYPERLINK("../../x")\nnext'
"""As a name: a formula, a path, and a second line."""


def predicted_two_way(name="woofer", title="made by hand", **changes):
    """Case and prediction of a two-way off the axis; `name` is the woofer's."""
    drivers = (make_driver(name, -0.05), make_driver("tweeter", 0.10))
    crossover = (
        pass_branch(name, "low-pass", 2500.0, **changes.pop("woofer", {})),
        pass_branch("tweeter", "high-pass", 2500.0),
    )
    values = {
        "arc_step": 10.0,
        "frequencies": FrequencyGrid(20.0, 20_000.0, 24),
        "crossover": crossover,
    }
    case = make_case(drivers, title=title, **(values | changes))
    return case, predict(case, solve=solve_free_field)
