"""What drivers on a passive crossover draw: reciprocity, and circuits in parallel."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.enclosure_model import Amplifier
from acoustics.case.design.model import Branch
from acoustics.source import LIMITS, input_limits, motion_of, terminal_admittance, total
from acoustics.source.together import together
from support.boxes import FS, boxed, parameters
from support.cases import make_case, make_driver

F = np.geomspace(10.0, 500.0, 40)


@pytest.fixture(scope="module")
def two():
    """Two different drivers in one box, on a passive crossover."""
    one = boxed(parameters(FS, 0.4), 2.0, leakage_q=7.0)
    box = replace(one.enclosures[0], drivers=("driver", "second"))
    second = replace(one.drivers[0], name="second", small_signal=parameters(55.0, 0.3))
    crossover = (Branch("driver", slopes="passive"), Branch("second", slopes="passive"))
    drivers = (one.drivers[0], second)
    return replace(one, drivers=drivers, enclosures=(box,), crossover=crossover)


def test_what_one_gives_the_other_gives_back(two):
    """The circuit is reciprocal: the current at one per volt at the other is the same both ways."""
    found = terminal_admittance(two, motion_of(two, F), [0, 1], F)
    np.testing.assert_allclose(found[0, 1], found[1, 0], rtol=1e-9)
    assert np.abs(found[0, 1] / found[0, 0]).max() > 0.05


def test_alone_it_is_the_impedance_at_the_terminals(two):
    motion = motion_of(two, F)
    found = terminal_admittance(two, motion, [1], F)
    np.testing.assert_allclose(1 / found[0, 0], motion.impedance[1], rtol=1e-9)


def test_side_by_side_they_draw_what_they_draw_together(two):
    motion = motion_of(two, F)
    found = terminal_admittance(two, motion, [0, 1], F).sum(axis=1)
    expected = together(two, motion, [0, 1], F).impedance
    np.testing.assert_allclose(1 / found, expected, rtol=1e-9)


def test_the_voltage_that_counts_is_that_at_the_terminals(two):
    """The amplifier's resistance is the crossover's business, and leaves the impedance alone."""
    wired = replace(two, amplifier=Amplifier(resistance=2.0))
    plain, behind = motion_of(two, F), motion_of(wired, F)
    np.testing.assert_array_equal(total(plain), total(behind))
    active = motion_of(replace(wired, crossover=()), F)
    assert np.abs(total(active) / total(plain)).min() < 0.8
    alone = boxed(parameters(FS, 0.4), 2.0)
    for amplifier in (None, Amplifier(resistance=2.0)):
        for crossover in ((), (Branch("driver", slopes="passive"),)):
            case = replace(alone, amplifier=amplifier, crossover=crossover)
            seen = motion_of(case, F).impedance
            np.testing.assert_allclose(seen, motion_of(alone, F).impedance, rtol=1e-9)


def test_without_parameters_it_is_the_rated_impedance():
    case = make_case([make_driver("only", rated_impedance=6.0)])
    found = terminal_admittance(case, motion_of(case, F), [0], F)
    np.testing.assert_array_equal(found, np.full((1, 1, F.size), 1 / 6 + 0j))


def test_power_is_that_at_the_terminals_whatever_lies_before_them(two):
    """20 W at 8 ohm are 12.65 V there."""
    drivers = tuple(replace(each, power=20.0, rated_impedance=8.0) for each in two.drivers)
    case = replace(two, drivers=drivers, amplifier=Amplifier(resistance=2.0))
    power = input_limits(case, motion_of(case, F), F)[LIMITS.index("power")]
    np.testing.assert_allclose(power, np.sqrt(160.0), rtol=1e-12)
