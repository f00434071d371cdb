"""What a fit says of itself: loads that were guessed, limits that are broken, simpler ways."""

from __future__ import annotations

from dataclasses import replace

import pytest

from acoustics.case.design.fit_model import Fit
from acoustics.case.design.model import Branch, FrequencyGrid
from acoustics.case.design.topology import topology_of
from acoustics.prediction import predict
from acoustics.report.crossover_fit import fit_text
from acoustics.studies.crossover_fit import fit_crossover, fit_dataset
from support.cases import make_case, make_driver
from support.free_field import solve_free_field

SHAPES = (
    ("woofer", (topology_of("low-pass 1"),)),
    ("tweeter", (topology_of("high-pass 1"),)),
)


def told(change=lambda found: found, **asked):
    """Two flat drivers of 8 ohm, fitted; what is found may be changed before it is told."""
    drivers = (
        make_driver("woofer", piston_diameter=0.12, rated_impedance=8.0),
        make_driver("tweeter", rated_impedance=8.0),
    )
    fit = Fit(crossovers=((1000.0, 4000.0),), topologies=SHAPES, **asked)
    case = make_case(drivers, frequencies=FrequencyGrid(50.0, 20_000.0, 12), arc_step=10.0, fit=fit)
    fitted = fit_crossover(case, workers=0, solve=solve_free_field)
    branches = tuple(
        Branch(name, slopes="passive", elements=ladder)
        for name, ladder in zip(fitted.drivers, fitted.best.ladders, strict=True)
    )
    new = replace(case, crossover=branches)
    before, after = (predict(each, solve=solve_free_field) for each in (case, new))
    found = change(fit_dataset(case, fitted))
    return " ".join(fit_text(new, fitted, found, before, after).split())


def test_a_rated_impedance_is_a_first_look():
    text = told()
    assert "resistor of the rated impedance: woofer 8 ohm and tweeter 8 ohm" in text
    assert "add [drivers.woofer.small_signal]" in text
    assert "limits" not in text
    assert "At the end of the values" not in text


def test_the_limit_that_is_broken_is_named():
    """Through resistors of 8 ohm and first-order parts no amplifier sees 90 ohm everywhere."""
    text = told(least_impedance=90.0)
    assert "It does not keep its limits: see below." in text
    assert "The input impedance falls below the 90 ohm that are asked" in text
    assert "A driver moves or heats more" not in text


@pytest.mark.parametrize(("worse", "told_of"), [(0.1, True), (1.0, False)])
def test_a_simpler_one_is_told_if_it_is_hardly_worse(worse, told_of):
    def change(found):
        found = found.copy(deep=True)
        found.pieces[:] = [5, 3]
        found.largest[:] = 0.5
        found.largest.loc[{"finalist": 1, "aim": "listening_window"}] += worse
        return found

    words = "Number 2 takes 2 parts less, and hardly anybody would hear the difference."
    text = told(change)
    assert (words in text) == told_of
    assert ('woofer = ["low-pass 1"], tweeter = ["high-pass 1"]' in text) == told_of
