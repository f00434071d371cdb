"""A three-way, predicted with stand-ins for the field solver, to draw from."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.case.design.model import Branch, FrequencyGrid, PassFilter
from acoustics.prediction import predict
from support.cases import make_case, make_driver, pass_branch


def three_way(**changes):
    drivers = (
        make_driver("woofer", -0.30, piston_diameter=0.15, frame_diameter=0.19),
        make_driver("midrange", 0.10, piston_diameter=0.08, frame_diameter=0.12),
        make_driver("tweeter", 0.25, position=(0.03, 0.25), frame_diameter=0.10),
    )
    middle = PassFilter("band-pass", "linkwitz-riley", 4, low_corner=400.0, high_corner=2500.0)
    values = {
        "title": "A three-way made by hand",
        "crossover": (
            pass_branch("woofer", "low-pass", 400.0),
            Branch("midrange", sections=(middle,)),
            pass_branch("tweeter", "high-pass", 2500.0),
        ),
        "frequencies": FrequencyGrid(per_octave=12),
        "cabinet": make_case().cabinet.__class__(
            width=0.22, height=0.80, depth=0.30, base_height=0.1
        ),
    }
    return make_case(drivers, **{**values, **changes})


@pytest.fixture(scope="session")
def case():
    return three_way()


@pytest.fixture(scope="session")
def prediction(case, solve_baffled_piston):
    return predict(case, solve=solve_baffled_piston)


@pytest.fixture
def axes():
    from acoustics.figures.style import new_figure

    return new_figure(4.0)[1][0, 0]


@pytest.fixture(scope="session")
def curve():
    """`curve(axes, label)`: x and y of the curve with that label."""

    def find(axes, label):
        (line,) = [line for line in axes.lines if line.get_label() == label]
        return np.array(line.get_xdata()), np.array(line.get_ydata())

    return find
