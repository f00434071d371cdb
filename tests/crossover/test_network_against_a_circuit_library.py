"""Passive networks against scikit-rf, a general-purpose library of microwave networks."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import skrf

from acoustics.case import read_case
from acoustics.case.design.enclosure_model import Amplifier
from acoustics.case.design.model import Branch
from acoustics.case.design.network_model import Element
from acoustics.prediction.passive import passive_of
from acoustics.source import motion_of, terminal_admittance
from support.boxes import FS, boxed, parameters
from support.cases import CASES
from support.circuits import circuit_impedance
from support.two_ports import series, shunt

FREQUENCY = np.geomspace(20.0, 20_000.0, 150)
RESISTANCE = 0.1

EQUAL = 1e-9
"""Relative. Both keep twelve digits or more; the library does where it is asked for chain matrices,
and where its reference impedance is that of the drivers."""


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
    """Chain matrices, with the drivers' impedances at their ends: v = Z/(AZ + B), and so on."""
    motion = motion_of(case, FREQUENCY)
    found = passive_of(case, motion, FREQUENCY)
    gains, inputs = [], []
    for network, load in zip(ladders(media), motion.impedance, strict=True):
        (a, b), (c, d) = np.moveaxis(network.a, 0, -1)
        gains.append(load / (a * load + b))
        inputs.append((a * load + b) / (c * load + d))
    seen = 1 / sum(1 / each for each in inputs)
    np.testing.assert_allclose(found.network.input_impedance, seen, rtol=EQUAL)
    expected = np.array(gains) * seen / (seen + RESISTANCE)
    expected[0] *= -1  # the tweeter's branch is turned round
    np.testing.assert_allclose(found.filters, expected, rtol=EQUAL)
    assert np.ptp(20 * np.log10(np.abs(expected)), axis=1).min() > 20


LATTICE = (
    Element(between=("amplifier", "driver"), inductor=0.5e-3, resistance=0.2),
    Element(between=("return", "driver return"), inductor=0.5e-3, resistance=0.2),
    Element(between=("amplifier", "driver return"), capacitor=8e-6),
    Element(between=("return", "driver"), capacitor=8e-6, resistor=1.5),
)
BRIDGED_T = (
    Element(between=("amplifier", "middle"), resistor=4.0),
    Element(between=("middle", "driver"), resistor=4.0),
    Element(between=("amplifier", "driver"), capacitor=3e-6, resistance=0.1),
    Element(between=("middle", "trap"), inductor=0.4e-3),
    Element(between=("trap", "return"), resistor=2.0),
)


@pytest.mark.parametrize(("first", "second"), [(LATTICE, BRIDGED_T), (LATTICE, LATTICE)])
def test_bridges_with_drivers_in_one_box(first, second):
    """Two drivers that move each other through the air of their box, one of them floating."""
    one = boxed(parameters(FS, 0.4), 2.0, leakage_q=7.0)
    box = replace(one.enclosures[0], drivers=("driver", "second"))
    other = replace(one.drivers[0], name="second", small_signal=parameters(55.0, 0.3))
    case = replace(
        one,
        drivers=(one.drivers[0], other),
        enclosures=(box,),
        amplifier=Amplifier(resistance=0.3),
        crossover=(
            Branch("driver", slopes="passive", elements=first),
            Branch("second", slopes="passive", elements=second),
        ),
    )
    motion = motion_of(case, FREQUENCY)
    found = passive_of(case, motion, FREQUENCY)
    admittance = terminal_admittance(case, motion, (0, 1), FREQUENCY)
    assert np.abs(admittance[0, 1] / admittance[0, 0]).max() > 0.05

    two_poles, hung = [], []
    for row, elements in enumerate((first, second)):
        floats = any("driver return" in element.between for element in elements)
        hung.append((f"{row} driver", f"{row} driver return" if floats else "return"))
        for element in elements:
            ends = [
                node if node in ("amplifier", "return") else f"{row} {node}"
                for node in element.between
            ]
            two_poles.append((one_after_the_other(element), *ends))
    ports = ["amplifier", *dict.fromkeys(node for load in hung for node in load)]
    ports = [node for node in ports if node != "return"]
    z = circuit_impedance(FREQUENCY, two_poles, hung, admittance, ports)
    seen = z[:, 0, 0]
    np.testing.assert_allclose(found.network.input_impedance, seen, rtol=EQUAL)
    voltage = {node: z[:, row, 0] / (seen + 0.3) for row, node in enumerate(ports)}
    voltage["return"] = 0.0
    expected = [voltage[start] - voltage[end] for start, end in hung]
    np.testing.assert_allclose(found.filters, expected, rtol=EQUAL)


def one_after_the_other(element):
    """Ohm, (frequency,); written out, for the library takes impedances."""
    s = 2j * np.pi * FREQUENCY
    answer = element.resistance + (element.resistor or 0.0) + s * (element.inductor or 0.0)
    return answer + (1 / (s * element.capacitor) if element.capacitor else 0.0)
