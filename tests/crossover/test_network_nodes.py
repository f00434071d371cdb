"""Networks that are no ladder: constant-resistance sections of the textbooks, and identities."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.case.design.network_model import Element
from acoustics.crossover import solve_network

R = 8.0
F = np.geomspace(20.0, 20_000.0, 40)
S = 2j * np.pi * F


def loads(*ohm):
    """Loads that do not know of each other."""
    return np.eye(len(ohm))[:, :, None] / np.array(ohm)[:, None, None] + 0j * F


def between(start, end, **values):
    return Element(between=(start, end), **values)


def lattice(coil, capacitor):
    """Coils straight through, capacitors crosswise; the driver floats."""
    return [
        between("amplifier", "driver", inductor=coil),
        between("return", "driver return", inductor=coil),
        between("amplifier", "driver return", capacitor=capacitor),
        between("return", "driver", capacitor=capacitor),
    ]


def bridged_t(coil, capacitor):
    """Two resistors in the way, a coil over both, a capacitor from between them to ground."""
    return [
        between("amplifier", "middle", resistor=R),
        between("middle", "driver", resistor=R),
        between("amplifier", "driver", inductor=coil),
        between("middle", "return", capacitor=capacitor),
    ]


@pytest.mark.parametrize("resistance", [0.0, 0.5])
def test_a_lattice_turns_the_phase_alone(resistance):
    """Z_a·Z_b = R²: the input is R, the transfer (R − Z_a)/(R + Z_a), all-pass for a coil.

    Zobel, Bell Syst. Tech. J. 2, 1923; from memory.
    """
    coil = 0.4e-3
    found = solve_network([lattice(coil, coil / R**2)], loads(R), F, resistance)
    np.testing.assert_allclose(found.input_impedance, R, rtol=1e-10)
    divided = R / (R + resistance)
    expected = divided * (R - S * coil) / (R + S * coil)
    np.testing.assert_allclose(found.transfer[0], expected, rtol=1e-10)
    np.testing.assert_allclose(np.abs(found.transfer[0]), divided, rtol=1e-10)
    np.testing.assert_allclose(found.load_current[0], expected / R, rtol=1e-10)


def test_a_bridged_t_is_a_first_order_filter_of_constant_resistance():
    """Z_1·Z_2 = R² with Z_1 bridging and Z_2 to ground: the input is R, the transfer R/(R + Z_1).

    Terman, Radio Engineers' Handbook, 1943 (equalisers); from memory.
    """
    coil = 1.1e-3
    found = solve_network([bridged_t(coil, coil / R**2)], loads(R), F)
    np.testing.assert_allclose(found.input_impedance, R, rtol=1e-10)
    np.testing.assert_allclose(found.transfer[0], R / (R + S * coil), rtol=1e-10)


def test_a_bridge_in_balance_is_silent():
    """Wheatstone: equal ratios on both sides, so the driver between them gets nothing."""
    bridge = [
        between("amplifier", "driver", resistor=2.0),
        between("driver", "return", resistor=6.0),
        between("amplifier", "driver return", resistor=5.0),
        between("driver return", "return", resistor=15.0),
    ]
    found = solve_network([bridge], loads(R), F)
    assert np.abs(found.transfer[0]).max() < 1e-14
    np.testing.assert_allclose(found.input_impedance, 1 / (1 / 8 + 1 / 20), rtol=1e-12)


def test_a_ladder_may_be_written_with_its_nodes():
    rungs = [
        Element("series", capacitor=5.6e-6, resistance=0.05),
        Element("across", inductor=0.27e-3, resistance=0.2, core_resistance=300.0),
        Element("series", resistor=2.2, inductor=0.1e-3, joined="side by side"),
        Element("across", resistor=8.2, capacitor=3.3e-6),
    ]
    ways = [("amplifier", "a"), ("a", "return"), ("a", "driver"), ("driver", "return")]
    named = [
        Element(between=way, **{key: value for key, value in vars(rung).items() if key in KEYS})
        for way, rung in zip(ways, rungs, strict=True)
    ]
    other = [Element("series", inductor=1e-3)]
    as_ladder = solve_network([rungs, other], loads(R, 6.0), F, 0.1)
    # In any order, each either way round: voltages and currents then only change their sign.
    order = [2, 0, 3, 1]
    mixed = solve_network([[named[n] for n in order], other], loads(R, 6.0), F, 0.1)
    np.testing.assert_allclose(mixed.transfer, as_ladder.transfer, rtol=1e-12)
    np.testing.assert_allclose(mixed.input_impedance, as_ladder.input_impedance, rtol=1e-12)
    turned = [Element(**{**vars(each), "between": each.between[::-1]}) for each in named]
    backward = solve_network([turned, other], loads(R, 6.0), F, 0.1)
    np.testing.assert_allclose(backward.transfer, as_ladder.transfer, rtol=1e-12)
    of_rungs = slice(0, -1)  # the last part is the other ladder's
    np.testing.assert_allclose(
        backward.part_current[of_rungs], -as_ladder.part_current[of_rungs], rtol=1e-9
    )
    assert [part.ladder for part in mixed.parts] == [0] * 6 + [1]


KEYS = {"inductor", "capacitor", "resistor", "resistance", "core_resistance", "joined"}


def test_nodes_of_one_driver_are_not_those_of_another():
    """Two branches may name their nodes alike; only the amplifier's terminals are shared."""
    one, two = bridged_t(1e-3, 15e-6), bridged_t(0.3e-3, 4e-6)
    together = solve_network([one, two], loads(R, 6.0), F)
    for row, (network, ohm) in enumerate(((one, R), (two, 6.0))):
        alone = solve_network([network], loads(ohm), F)
        np.testing.assert_allclose(together.transfer[row], alone.transfer[0], rtol=1e-10)


def test_the_power_that_goes_into_a_lattice_is_used_up():
    networks = [lattice(0.5e-3, 8e-6), bridged_t(1e-3, 10e-6)]
    together = loads(5.0, 7.0)
    together[0, 1] = together[1, 0] = 0.02 / (1 + S / 2000)
    found = solve_network(networks, together, F, 0.2)
    supplied = 1 / (0.2 + found.input_impedance)
    used = (found.part_voltage * found.part_current.conj()).real.sum(axis=0)
    used += (found.transfer * found.load_current.conj()).real.sum(axis=0)
    np.testing.assert_allclose(used + 0.2 * np.abs(supplied) ** 2, supplied.real, rtol=1e-9)


@pytest.mark.parametrize("ohm", [1e-7, 1e-4, 0.009, 0.011, 1.0])
def test_a_wire_however_short_keeps_the_digits(ohm):
    """A divider written out, whether the wire's current is an unknown of the circuit or not."""
    wires = [Element("series", resistor=ohm), Element("across", resistor=R)]
    wires += [Element("series", resistor=ohm)]
    found = solve_network([wires], loads(1e4), F)
    behind = 1 / (1 / R + 1 / (1e4 + ohm))
    transfer = behind / (behind + ohm) * 1e4 / (1e4 + ohm)
    np.testing.assert_allclose(found.transfer[0], transfer, rtol=1e-12)
    np.testing.assert_allclose(found.input_impedance, ohm + behind, rtol=1e-10)
    np.testing.assert_allclose(found.part_current[2], transfer / 1e4, rtol=1e-8)


def test_it_does_not_matter_which_end_of_a_part_is_named_first():
    """2 ohm and a driver of 6 ohm in a row, 5 ohm beside both, by Ohm's law."""
    for first, second in (("amplifier", "driver"), ("driver", "amplifier")):
        parts = [
            between(first, second, resistor=2.0),
            between("return", "amplifier", resistor=5.0),
        ]
        found = solve_network([parts], loads(6.0), F)
        np.testing.assert_allclose(found.input_impedance, 1 / (1 / 8.0 + 1 / 5.0), rtol=1e-12)
        np.testing.assert_allclose(found.transfer[0], 0.75, rtol=1e-12)


def test_a_current_that_is_induced_in_a_driver_that_floats():
    """2 ohm before and 3 ohm behind it, by Ohm's law: u = (1 − 5·i)/(1 + 5·Y)."""
    parts = [
        between("amplifier", "driver", resistor=2.0),
        between("driver return", "return", resistor=3.0),
    ]
    made = np.full((1, F.size), 0.04 - 0.02j)
    found = solve_network([parts], loads(R), F, induced=made)
    volts = (1 - 5 * made) / (1 + 5 / R)
    np.testing.assert_allclose(found.transfer, volts, rtol=1e-12)
    np.testing.assert_allclose(found.part_current, [(volts / R + made)[0]] * 2, rtol=1e-12)
