"""The whole circuit against scikit-rf, a general-purpose library of microwave networks.

The electrical equivalent of a loudspeaker in its box (Small, J. Audio Eng. Soc. 20, 1972, 383; 21,
1973, 363; from memory): behind the voice coil, masses are capacitances M/(Bl)², compliances
inductances C(Bl)², resistances (Bl)²/R; what is in series in the air is in parallel here.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import skrf

from acoustics.cabinet.ports import effective_length
from acoustics.case.design.enclosure_model import Amplifier
from acoustics.driver import VoiceCoil
from acoustics.source import motion_of
from support.boxes import AIR, AREA, FS, STIFFNESS, parameters, vented, with_enclosure
from support.two_ports import series, shunt

FREQUENCY = np.geomspace(10.0, 20_000.0, 120)
AMPLIFIER = Amplifier(resistance=0.2)
COIL = VoiceCoil(inductance=0.15e-3, parallel_inductance=0.4e-3, parallel_resistance=8.0)


@pytest.fixture(scope="module")
def case():
    signal = parameters(FS, 0.38)
    case = vented(signal, 1.6, 1.1, q_leak=7.0, absorption_q=30.0, port_q=40.0)
    driver = replace(case.drivers[0], voice_coil=COIL)
    return replace(case, drivers=(driver,), amplifier=AMPLIFIER)


def network(case, *, at_the_port):
    """Voltage source to the motion's voltage, or on to that across the port's capacitance."""
    signal, box = case.drivers[0].small_signal, case.enclosures[0]
    media = skrf.media.DefinedGammaZ0(
        skrf.Frequency.from_f(FREQUENCY, unit="Hz"), z0=1.0, gamma=0.0
    )
    turn = signal.force_factor**2
    per_area = turn / AREA**2
    tuning = 2 * np.pi * 1.1 * FS
    stiffness = STIFFNESS / box.volume
    mass = AIR.density * effective_length(box.ports[0].length, 0.002, ("flush", "free")) / 0.002

    coil = media.resistor(signal.dc_resistance + AMPLIFIER.resistance)
    coil **= media.inductor(COIL.inductance)
    pair = media.shunt_inductor(COIL.parallel_inductance) ** media.shunt_resistor(
        COIL.parallel_resistance
    )
    # A shunt pair is put in series by way of its impedance: scikit-rf has no series pair.
    impedance = (pair ** media.open()).z[:, 0, 0]
    coil **= series(media, impedance)
    cone = (
        media.shunt_capacitor(signal.moving_mass / turn)
        ** media.shunt_inductor(signal.compliance * turn)
        ** media.shunt_resistor(turn / signal.mechanical_resistance)
    )
    absorbed = per_area / (stiffness / (tuning * box.absorption_q))
    air_impedance = 1 / (1 / (2j * np.pi * FREQUENCY * per_area / stiffness) + 1 / absorbed)
    leak = per_area * tuning / (stiffness * box.leakage_q)
    duct = media.shunt_capacitor(mass / per_area) ** media.shunt_resistor(
        per_area / (tuning * mass / box.port_q)
    )
    through = series(media, air_impedance) ** media.resistor(leak) ** duct
    if at_the_port:
        return coil**cone**through
    behind = (through ** media.open()).z[:, 0, 0]
    return coil**cone ** shunt(media, behind)


def open_gain(net):
    """Voltage at the open second port per volt at the first."""
    return net.z[:, 1, 0] / net.z[:, 0, 0]


def decibels(found, expected):
    return 20 * np.abs(np.log10(np.abs(found / expected)))


def test_cone_and_port_move_as_in_the_equivalent_circuit(case):
    motion = motion_of(case, FREQUENCY)
    force = case.drivers[0].small_signal.force_factor
    cone = open_gain(network(case, at_the_port=False)) / force * AREA
    port = open_gain(network(case, at_the_port=True)) / force * AREA
    assert decibels(motion.volume_velocity[0, 0], cone).max() < 0.01
    assert decibels(motion.volume_velocity[1, 0], port).max() < 0.01
    # The port's air moves outward when the cone moves inward, well above the tuning.
    turned = np.angle(motion.volume_velocity[:2, 0] / np.array([cone, -port]))
    assert np.abs(turned).max() < 1e-3


def test_impedance_is_that_of_the_equivalent_circuit(case):
    motion = motion_of(case, FREQUENCY)
    expected = network(case, at_the_port=False).z[:, 0, 0] - AMPLIFIER.resistance
    np.testing.assert_allclose(motion.impedance[0], expected, rtol=1e-6)


def test_a_shared_box_is_the_same_circuit_twice(case):
    """Two equal drivers in twice the volume, driven alike, move as one in half of it."""
    one = case.drivers[0]
    two = replace(one, name="second", position=(0.0, -0.1))
    both = with_enclosure(
        replace(case, drivers=(one, two)),
        drivers=("driver", "second"),
        gross=2 * case.enclosures[0].gross,
        ports=tuple(
            replace(case.enclosures[0].ports[0], name=name, position=(x, 0.1))
            for name, x in (("left", -0.06), ("right", 0.06))
        ),
    )
    alone, shared = motion_of(case, FREQUENCY), motion_of(both, FREQUENCY)
    together = shared.volume_velocity[:2].sum(axis=1)
    np.testing.assert_allclose(together[0], alone.volume_velocity[0, 0], rtol=1e-9)
    np.testing.assert_allclose(together[1], alone.volume_velocity[0, 0], rtol=1e-9)
