"""The case of one build: what strays does, and nothing else."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import acoustics as ac
from acoustics.case.network_model import Element
from acoustics.case.tolerance_model import Spread, Tolerance
from acoustics.case.usual_tolerance import usual_tolerance
from acoustics.conventions import air_at
from acoustics.studies.tolerance.builds import built_case, factor_of
from support.cases import CASES
from support.free_field import solve_free_field


@pytest.fixture(scope="module")
def passive():
    return ac.read_case(CASES / "compact-passive")


def test_every_usual_spread_strays_what_it_names(passive):
    spreads = {spread.name: spread for spread in usual_tolerance(passive).spreads}

    def built(name, amount):
        return built_case(passive, [spreads[name]], [amount])

    tweeter = passive.driver("tweeter")
    assert built("tweeter up", 1e-3).driver("tweeter").position == (0.0, 0.125 + 1e-3)
    assert built("tweeter right", -1e-3).driver("tweeter").position == (-1e-3, 0.125)
    assert built("ear height", 0.05).seat.ear_heights == pytest.approx((0.9, 1.0, 1.1))
    # The seat beside is as far away as the main one: they share a sofa.
    assert [place.distance for place in built("distance", 0.1).seat.places] == [2.6, 2.6]
    warm = built("temperature", 5.0)
    assert (warm.temperature, warm.air) == (298.15, air_at(298.15))
    soft = built("tweeter compliance", 0.1).driver("tweeter").small_signal
    assert soft.compliance == pytest.approx(1.1 * tweeter.small_signal.compliance)
    assert soft.moving_mass == tweeter.small_signal.moving_mass
    parts = built("tweeter R pad", 0.05).crossover[0].elements
    assert parts[0] == Element("series", resistor=pytest.approx(8.61), name="R pad")
    assert parts[1:] == passive.crossover[0].elements[1:]
    # The design itself, and what levels do beside it.
    still = built_case(passive, tuple(spreads.values()), [0.0] * len(spreads))
    assert replace(still, air=passive.air) == passive
    names = ("tweeter level", "woofer level")
    factor = factor_of(passive, [spreads[n] for n in names], [1.0, -2.0], np.array([1e3, 2e3]))
    assert factor == pytest.approx(10 ** (np.array([[1.0], [-2.0]]) / 20) * np.ones(2))


def test_any_other_key_strays_through_the_file(passive):
    width = Spread("width", "key", ("cabinet.width",), (0.22,), 2e-3, unit="m")
    floor = Spread("floor", "key", ("floor.reflection",), (0.9,), 0.1, relative=True)
    built = built_case(passive, [width, floor], [1e-3, -0.05])
    assert built.cabinet == replace(passive.cabinet, width=0.221)
    assert built.floor.reflection == pytest.approx(0.855)
    case = replace(passive, frequencies=replace(passive.frequencies, per_octave=4), arc_step=10.0)
    found = ac.tolerance_study(
        replace(case, frequencies=replace(case.frequencies, lowest=200.0, highest=4000.0)),
        tolerance=Tolerance((floor,), builds=2),
        workers=0,
        solve=solve_free_field,
    )
    assert set(found.reason.values) == {""}
    assert found.attrs["pair"]


def test_what_nothing_can_have_is_refused(passive):
    wide = Spread("pad", "part", ("crossover.tweeter.parts.1.resistor",), (8.2,), 0.9, True)
    with pytest.raises(ac.RoundoverError, match=r"pad strays from 8\.2 to -1\.64"):
        built_case(passive, [wide], [-1.2])
