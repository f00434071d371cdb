"""Measured impedances as loads: the table's own numbers, and nothing of other drivers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.impedance_model import MeasuredImpedance
from acoustics.case.design.model import Branch
from acoustics.source import motion_of, terminal_admittance
from acoustics.source.measured import carried_on, driver_impedance, measured_at
from support.boxes import FS, boxed, parameters

F = np.geomspace(20.0, 20_000.0, 40)


def impedance(frequency):
    """A resistor and a coil: 6 ohm, 0.4 mH."""
    return 6.0 + 2j * np.pi * frequency * 0.4e-3


def measured(low=10.0, high=30_000.0, rows=400, beyond=False):
    frequency = np.geomspace(low, high, rows)
    values = impedance(frequency)
    return MeasuredImpedance(
        "made up", tuple(frequency), tuple(values.real), tuple(values.imag), beyond
    )


@pytest.fixture(scope="module")
def two():
    """Two drivers in one box on a passive crossover; the impedance of the second is measured."""
    one = boxed(parameters(FS, 0.4), 2.0, leakage_q=7.0)
    box = replace(one.enclosures[0], drivers=("driver", "second"))
    second = replace(one.drivers[0], name="second", impedance=measured())
    crossover = (Branch("driver", slopes="passive"), Branch("second", slopes="passive"))
    drivers = (one.drivers[0], second)
    return replace(one, drivers=drivers, enclosures=(box,), crossover=crossover)


def test_between_rows_the_table_is_met():
    found, past = measured_at(measured(), F)
    np.testing.assert_allclose(found, impedance(F), rtol=1e-4)
    assert not past.any()


def test_past_its_ends_it_is_told(two):
    _, past = measured_at(measured(50.0, 5000.0), F)
    np.testing.assert_array_equal(past, (F < 50.0) | (F > 5000.0))
    assert not carried_on(two, F).any()


def test_it_is_the_load_and_knows_of_no_other(two):
    motion = motion_of(two, F)
    found = terminal_admittance(two, motion, (0, 1), F)
    np.testing.assert_allclose(1 / found[1, 1], impedance(F), rtol=1e-4)
    assert not found[0, 1].any()
    assert not found[1, 0].any()
    plain = replace(two, drivers=(two.drivers[0], replace(two.drivers[1], impedance=None)))
    coupled = terminal_admittance(plain, motion, (0, 1), F)
    np.testing.assert_array_equal(found[0, 0], coupled[0, 0])
    assert np.abs(coupled[0, 1]).min() > 0
    # Whatever the order in which the drivers are named.
    other_way = terminal_admittance(two, motion, (1, 0), F)
    np.testing.assert_array_equal(other_way, found[::-1, ::-1])


def test_the_others_keep_what_follows_from_their_parameters(two):
    motion = motion_of(two, F)
    found = driver_impedance(two, motion, F)
    np.testing.assert_array_equal(found[0], motion.impedance[0])
    np.testing.assert_allclose(found[1], impedance(F), rtol=1e-4)
