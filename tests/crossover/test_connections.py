"""What meets in every node: soldered up as told, it is the circuit that was calculated."""

from __future__ import annotations

import numpy as np
import pytest

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
from support.crossovers import DESIGNS

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
