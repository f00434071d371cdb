"""A passive crossover as a circuit: networks from one amplifier to several drivers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from acoustics.case.design.network_model import Element
from acoustics.case.design.network_nodes import AMPLIFIER, RETURN, wiring_of
from acoustics.case.design.network_parts import Part, element_relations, part_impedances, parts_of

NEAR_SHORT = 0.01
"""Ohm. Of an element that falls below it somewhere the current is an unknown of its own: as an
admittance it would drown what else meets at its nodes."""


@dataclass(frozen=True)
class Network:
    """A solved crossover, everything per volt of the amplifier's source.

    transfer: voltage at each load (V/V) and current into it (A/V), complex (ladder, frequency).
    input_impedance: at the amplifier's terminals, ohm, complex (frequency,). part_voltage (V/V) and
    part_current (A/V): over and through every part, complex (part, frequency).
    """

    parts: tuple[Part, ...]
    transfer: np.ndarray
    load_current: np.ndarray
    input_impedance: np.ndarray
    part_voltage: np.ndarray
    part_current: np.ndarray


def solve_network(
    ladders: Sequence[Sequence[Element]],
    admittance: np.ndarray,
    frequency: np.ndarray,
    resistance: float = 0.0,
    induced: np.ndarray | None = None,
) -> Network:
    """Solve the networks of all drivers together, at all frequencies at once.

    Nodal analysis. Where an element may come near a short circuit, as a trap without losses is at
    its resonance, its current is an unknown too (Ho, Ruehli & Brennan, IEEE Trans. Circuits Syst.
    22, 1975, 504; from memory): d·v − n·i = 0 with n/d its impedance.

    Args:
        ladders: the elements from the amplifier to each load, as rungs or between nodes.
        admittance: of the loads, A/V, complex (ladder, ladder, frequency): current into one per
            volt at another; off the diagonal 0 for loads that do not know of each other.
        frequency: Hz, above 0, shape (frequency,).
        resistance: of amplifier and cable, ohm; it couples the ladders.
        induced: current into each load that something else makes while its terminals are shorted,
            A per volt of the amplifier's source, complex (ladder, frequency); None for none.

    Returns:
        Voltages, currents and input impedance, the latter while nothing is induced.
    """
    own = _solved(ladders, admittance, frequency, resistance, 1.0, 0.0)
    if induced is None:
        return own
    more = _solved(ladders, admittance, frequency, resistance, 0.0, induced)
    names = ("transfer", "load_current", "part_voltage", "part_current")
    return replace(own, **{name: getattr(own, name) + getattr(more, name) for name in names})


def _solved(
    ladders: Sequence[Sequence[Element]],
    admittance: np.ndarray,
    frequency: np.ndarray,
    resistance: float,
    source: float,
    induced: np.ndarray | float,
) -> Network:
    """The networks for a voltage of the amplifier's source (V) and currents into loads (A)."""
    frequency = np.asarray(frequency, dtype=float)
    parts = parts_of(ladders)
    elements = [element for ladder in ladders for element in ladder]
    impedance = part_impedances(parts, frequency)
    n, d = element_relations(elements, parts, impedance)
    near_short = (np.abs(n) < NEAR_SHORT * np.abs(d)).any(axis=1)
    y = np.divide(d, n, out=np.zeros_like(d), where=~near_short[:, None])
    ends, hung, nodes = _numbered(ladders)
    shorts = np.flatnonzero(near_short)

    # Rows and columns: nodes, currents of near shorts, and ground, which goes.
    size = nodes + shorts.size
    matrix = np.zeros((size + 1, size + 1, frequency.size), dtype=complex)
    for each, admitted in zip(ends, y, strict=True):
        _add_flow(matrix, each, each, admitted)
    for row, out in enumerate(hung):
        for column, into in enumerate(hung):
            _add_flow(matrix, out, into, admittance[row, column])
    for row, short in enumerate(shorts, start=nodes):
        start, end = ends[short]
        matrix[start, row] += 1.0
        matrix[end, row] -= 1.0
        matrix[row, start] += d[short]
        matrix[row, end] -= d[short]
        matrix[row, row] = -n[short]
    matrix[0] *= resistance
    matrix[0, 0] += 1.0
    right = np.zeros((size + 1, frequency.size), dtype=complex)
    for (start, end), current in zip(
        hung, np.broadcast_to(induced, admittance.shape[1:]), strict=True
    ):
        right[start] -= current
        right[end] += current
    right[0] = source + resistance * right[0]
    found = np.zeros((size + 1, frequency.size), dtype=complex)
    found[:-1] = np.linalg.solve(matrix[:-1, :-1].transpose(2, 0, 1), right[:-1].T[..., None])[
        ..., 0
    ].T

    across = _between(found, ends)
    through = y * across
    through[shorts] = found[nodes:-1]
    transfer = _between(found, hung)
    drawn = (admittance * transfer).sum(axis=1) + induced
    supplied = np.zeros(frequency.size, dtype=complex)
    for (start, end), current in zip(ends + hung, [*through, *drawn], strict=True):
        if 0 in (start, end):
            supplied += current if start == 0 else -current
    with np.errstate(divide="ignore", invalid="ignore"):  # infinite where nothing is drawn
        seen = found[0] / supplied
    voltage, current = _in_parts(ladders, parts, impedance, across, through)
    return Network(parts, transfer, drawn, seen, voltage, current)


_Ends = tuple[int, int]
"""Numbers of two nodes: 0 is the amplifier's hot terminal, -1 is ground."""


def _numbered(ladders: Sequence[Sequence[Element]]) -> tuple[list[_Ends], list[_Ends], int]:
    """The nodes of every element, those of every load, and how many there are but for ground."""
    ends, hung, free = list[_Ends](), list[_Ends](), 1
    for ladder in ladders:
        numbers = {AMPLIFIER: 0, RETURN: -1}
        wiring = wiring_of(ladder)
        for start, end in (*wiring.ends, wiring.driver):
            for name in (start, end):
                if name not in numbers:
                    numbers[name], free = free, free + 1
            ends.append((numbers[start], numbers[end]))
        hung.append(ends.pop())
    return ends, hung, free


def _add_flow(matrix: np.ndarray, out: _Ends, at: _Ends, admittance: np.ndarray) -> None:
    """Add the current that leaves two nodes per volt between two others."""
    for first, row in enumerate(out):
        for second, column in enumerate(at):
            if row < 0 or column < 0:  # ground's row and column are not solved for
                continue
            if first == second:
                matrix[row, column] += admittance
            else:
                matrix[row, column] -= admittance


def _between(voltages: np.ndarray, ends: Sequence[_Ends]) -> np.ndarray:
    """Voltage between each of some pairs of nodes."""
    starts, stops = [start for start, _ in ends], [end for _, end in ends]
    answer: np.ndarray = voltages[starts] - voltages[stops]
    return answer


def _in_parts(
    ladders: Sequence[Sequence[Element]],
    parts: Sequence[Part],
    impedance: np.ndarray,
    across: np.ndarray,
    through: np.ndarray,
) -> tuple[np.ndarray, np.ndarray]:
    """Voltage over and current through every part, from those of the elements."""
    first = np.cumsum([0, *map(len, ladders)])
    of = [first[part.ladder] + part.element for part in parts]
    current = through[of]
    voltage = current * impedance
    for row, part in enumerate(parts):
        if ladders[part.ladder][part.element].joined == "side by side":
            voltage[row] = across[of[row]]
            current[row] = voltage[row] / impedance[row]
    return voltage, current
