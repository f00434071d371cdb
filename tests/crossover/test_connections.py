"""What meets in every node: soldered up as told, it is the circuit that was calculated."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.network_model import Element
from acoustics.case.design.network_parts import part_impedances, pieces_of
from acoustics.crossover.connections import (
    FIRST,
    MINUS,
    PLUS,
    SECOND,
    SUPPLY,
    Terminal,
    ladders_of,
    nodes_of,
)
from acoustics.crossover.network import solve_network
from support.crossovers import DESIGNS, LOW_PASS, TRAPS, passive_case

FREQUENCY = np.array([90.0, 1300.0, 7000.0])


def soldered(case, frequency):
    """Volts from plus to minus of every driver per volt at the amplifier, node by node.

    Kirchhoff's current law at every node, each part between the two nodes that name its ends
    (any textbook of circuit theory); solved by numpy.
    """
    nodes = nodes_of(case)
    at = {terminal: number for number, node in enumerate(nodes) for terminal in node.terminals}
    ladders = ladders_of(case)
    parts = [part for ladder in ladders for rung in ladder.rungs for part in rung.parts]
    pieces = [piece for part in parts for piece in pieces_of(part)]
    joined = [
        (at[Terminal(piece.name, FIRST)], at[Terminal(piece.name, SECOND)], 1 / ohm)
        for piece, ohm in zip(pieces, part_impedances(pieces, frequency), strict=True)
    ]
    hung = [tuple(at[Terminal(one.driver.name, end)] for end in (PLUS, MINUS)) for one in ladders]
    loads = [one.driver.rated_impedance for one in ladders]
    joined += [(*ends, 1 / ohm + 0j * frequency) for ends, ohm in zip(hung, loads, strict=True)]
    matrix = np.zeros((frequency.size, len(nodes), len(nodes)), dtype=complex)
    for start, end, admittance in joined:
        for here, there in ((start, end), (end, start)):
            matrix[:, here, here] += admittance
            matrix[:, here, there] -= admittance
    # The amplifier holds its two nodes: 1 V at the first, 0 V at the last.
    volts = np.zeros((frequency.size, len(nodes)), dtype=complex)
    volts[:, 0] = 1.0
    free = slice(1, -1)
    volts[:, free] = np.linalg.solve(matrix[:, free, free], -matrix[:, free, :1])[..., 0]
    return np.array([volts[:, plus] - volts[:, minus] for plus, minus in hung])


@pytest.mark.parametrize("name", DESIGNS)
def test_soldered_as_told_it_is_the_circuit_that_was_calculated(name):
    case = DESIGNS[name]
    ladders = ladders_of(case)
    loads = np.diag([1 / one.driver.rated_impedance for one in ladders])
    circuit = solve_network(
        [one.branch.elements for one in ladders], loads[..., None] + 0j * FREQUENCY, FREQUENCY
    )
    turned = [-1.0 if one.driver.inverted != one.branch.inverted else 1.0 for one in ladders]
    expected = np.array(turned)[:, None] * circuit.transfer
    assert soldered(case, FREQUENCY) == pytest.approx(expected, rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("name", DESIGNS)
def test_the_amplifier_comes_first_and_its_return_last_and_each_end_is_joined_once(name):
    nodes = nodes_of(DESIGNS[name])
    assert nodes[0].name == SUPPLY
    assert nodes[0].terminals[0] == Terminal("amplifier", PLUS)
    assert nodes[-1].name == "return"
    assert Terminal("amplifier", MINUS) in nodes[-1].terminals
    ends = [terminal for node in nodes for terminal in node.terminals]
    assert len(ends) == len(set(ends))
    assert all(len(node.terminals) > 1 for node in nodes)
    numbers = [int(node.name) for node in nodes if node.name.isdigit()]
    assert numbers == list(range(1, len(numbers) + 1))


def joints(case):
    """Every node's name, and in words what meets there."""
    short = {PLUS: "+", MINUS: "-", FIRST: "1", SECOND: "2"}
    return {
        node.name: [f"{terminal.of} {short[terminal.which]}" for terminal in node.terminals]
        for node in nodes_of(case)
    }


def test_the_nodes_of_a_small_ladder_by_hand():
    """A capacitor in the way, a chain across, a coil with a resistor beside it; plus on ground."""
    ladder = (
        Element("series", capacitor=1e-5),
        Element("across", inductor=1e-3, resistor=2.0),
        Element("series", inductor=1e-4, resistor=5.0, joined="side by side"),
    )
    case = passive_case(ladder, turned=(True,), names=("tweeter",))
    assert joints(case) == {
        "amplifier +": ["amplifier +", "C1 1"],
        "1": ["C1 2", "L1 1", "L2 1", "R2 1"],
        "2": ["L1 2", "R1 1"],
        "3": ["L2 2", "R2 2", "tweeter -"],
        "return": ["amplifier -", "R1 2", "tweeter +"],
    }
    # Turned twice it is as it was.
    twice = joints(passive_case(ladder, turned=(True,), inverted=(True,), names=("tweeter",)))
    assert twice["3"][-1] == "tweeter +"


def test_the_nodes_of_values_in_two_pieces_by_hand():
    """Capacitors side by side, resistors one after the other."""
    pieces = Element(
        "series", capacitor=1e-5, second_capacitor=2e-6, resistor=4.7, second_resistor=0.33
    )
    assert joints(passive_case((pieces,), names=("mid",))) == {
        "amplifier +": ["amplifier +", "C1 (a) 1", "C1 (b) 1"],
        "1": ["C1 (a) 2", "C1 (b) 2", "R1 (a) 1"],
        "2": ["R1 (a) 2", "R1 (b) 1"],
        "3": ["R1 (b) 2", "mid +"],
        "return": ["amplifier -", "mid -"],
    }


def test_nodes_with_a_name_keep_it_beside_their_drivers_and_the_others_are_counted():
    """Within a chain a node has no name; both networks have one called x."""
    one = (
        Element(between=("amplifier", "x"), inductor=1e-3, resistor=2.0),
        Element(between=("x", "driver"), capacitor=1e-5),
    )
    two = (
        Element(between=("amplifier", "x"), capacitor=2e-5),
        Element(between=("driver return", "x"), resistor=1.0),
        Element(between=("driver", "return"), resistor=3.0),
    )
    case = passive_case(one, two, names=("mid", "top"))
    assert [ladder.free for ladder in ladders_of(case)] == [True, True]
    assert joints(case) == {
        "amplifier +": ["amplifier +", "L1 1", "C2 1"],
        "1": ["L1 2", "R1 1"],
        "x (mid)": ["R1 2", "C1 1"],
        "driver (mid)": ["C1 2", "mid +"],
        "x (top)": ["C2 2", "R2 2"],
        "driver return (top)": ["R2 1", "top -"],
        "driver (top)": ["R3 1", "top +"],
        "return": ["amplifier -", "mid -", "R3 2"],
    }


def test_only_passive_branches_are_joined_up():
    """A woofer with an amplifier of its own is not in it, and parts keep to their elements."""
    case = passive_case(TRAPS, LOW_PASS)
    woofer, tweeter = case.crossover
    active = replace(case, crossover=(replace(woofer, slopes="electrical", elements=()), tweeter))
    (only,) = ladders_of(active)
    assert only.driver is case.drivers[1]
    assert not only.free
    assert [[part.kind for part in rung.parts] for rung in only.rungs] == [
        ["inductor"],
        ["capacitor", "resistor"],
    ]
