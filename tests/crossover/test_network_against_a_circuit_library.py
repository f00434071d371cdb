"""A passive two-way against scikit-rf, a general-purpose library of microwave networks."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import skrf

from acoustics.case import read_case
from acoustics.case.model import Branch
from acoustics.case.network_model import Element
from acoustics.prediction.passive import passive_of
from acoustics.source import motion_of
from support.cases import CASES
from support.two_ports import series, shunt

FREQUENCY = np.geomspace(20.0, 20_000.0, 150)
RESISTANCE = 0.1


@pytest.fixture(scope="module")
def case():
    """The drivers and the box of the compact two-way, with every kind of element."""
    compact = read_case(CASES / "compact-centred")
    tweeter = (
        Element("series", capacitor=5.6e-6, resistance=0.05),
        Element("across", inductor=0.27e-3, resistance=0.2, core_resistance=250.0),
        Element("series", resistor=2.2),
        Element("across", resistor=10.0),
        Element("across", resistor=8.2, capacitor=3.3e-6),
        Element("series", inductor=0.05e-3, capacitor=2e-6, resistor=4.7, joined="side by side"),
    )
    woofer = (
        Element("series", inductor=1.5e-3, resistance=0.45),
        Element("across", capacitor=15e-6),
    )
    ways = {"tweeter": tweeter, "woofer": woofer}
    crossover = tuple(
        Branch(name, slopes="passive", elements=elements, inverted=name == "tweeter")
        for name, elements in ways.items()
    )
    return replace(compact, crossover=crossover)


@pytest.fixture(scope="module")
def media():
    frequency = skrf.Frequency.from_f(FREQUENCY, unit="Hz")
    return skrf.media.DefinedGammaZ0(frequency, z0=1.0, gamma=0.0)


def across(media, two_pole):
    """A network, its far end open, from the way to ground."""
    return shunt(media, (two_pole ** media.open()).z[:, 0, 0])


def grounded(media, network):
    """Impedance of a two-port with its far end on ground."""
    return (network ** media.short()).z[:, 0, 0]


def ladders(media):
    coil = media.shunt_inductor(0.27e-3) ** media.shunt_resistor(250.0)
    trap = media.shunt_inductor(0.05e-3) ** media.shunt_capacitor(2e-6) ** media.shunt_resistor(4.7)
    compensation = grounded(media, media.resistor(8.2) ** media.capacitor(3.3e-6))
    tweeter = (
        media.resistor(0.05)
        ** media.capacitor(5.6e-6)
        ** across(media, media.resistor(0.2) ** coil)
        ** media.resistor(2.2)
        ** media.shunt_resistor(10.0)
        ** shunt(media, compensation)
        ** series(media, (trap ** media.open()).z[:, 0, 0])
    )
    woofer = media.resistor(0.45) ** media.inductor(1.5e-3) ** media.shunt_capacitor(15e-6)
    return [tweeter, woofer]


def test_voltages_and_input_impedance_are_those_of_the_library(case, media):
    motion = motion_of(case, FREQUENCY)
    found = passive_of(case, motion, FREQUENCY)
    gains, inputs = [], []
    for network, load in zip(ladders(media), motion.impedance, strict=True):
        loaded = network ** shunt(media, load)
        inputs.append(loaded.z[:, 0, 0])
        gains.append(loaded.z[:, 1, 0] / loaded.z[:, 0, 0])
    seen = 1 / sum(1 / each for each in inputs)
    np.testing.assert_allclose(found.network.input_impedance, seen, rtol=1e-6)
    expected = np.array(gains) * seen / (seen + RESISTANCE)
    expected[0] *= -1  # the tweeter's branch is turned round
    apart = 20 * np.abs(np.log10(np.abs(found.filters / expected)))
    assert apart.max() < 0.01
    assert np.abs(np.angle(found.filters / expected)).max() < 1e-5
    assert np.ptp(20 * np.log10(np.abs(expected)), axis=1).min() > 20
