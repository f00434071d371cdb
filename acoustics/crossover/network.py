"""A passive crossover as a circuit: ladders from one amplifier to several drivers."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from acoustics.case.network_model import Element

PartKind = Literal["inductor", "capacitor", "resistor"]
LETTERS: dict[PartKind, str] = {"inductor": "L", "capacitor": "C", "resistor": "R"}


@dataclass(frozen=True)
class Part:
    """One component: its name, what it is, in which ladder and which element of it.

    `value` in H, F or ohm; `resistance` in series with it and `core_resistance` beside an
    inductance in ohm, None for none.
    """

    name: str
    kind: PartKind
    ladder: int
    element: int
    value: float
    resistance: float = 0.0
    core_resistance: float | None = None

    def impedance(self, frequency: np.ndarray) -> np.ndarray:
        """Ohm, complex, shape (frequency,)."""
        s = 2j * np.pi * frequency
        if self.kind == "resistor":
            own = self.value + 0 * s
        elif self.kind == "capacitor":
            own = 1 / (s * self.value)
        else:
            own = s * self.value
            if self.core_resistance is not None:
                own = own * self.core_resistance / (own + self.core_resistance)
        answer: np.ndarray = own + self.resistance
        return answer


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


def parts_of(ladders: Sequence[Sequence[Element]]) -> tuple[Part, ...]:
    """Every component of some ladders, in their order.

    One without a name is called L1, C1, R1 and so on, counted over all ladders; those of an element
    with a name and several components by the name and their letter.
    """
    given = {element.name for ladder in ladders for element in ladder}
    fresh = {letter: _numbered(letter, given) for letter in LETTERS.values()}
    parts = []
    for row, ladder in enumerate(ladders):
        for place, element in enumerate(ladder):
            values = _values(element)
            for kind, value in values.items():
                letter = LETTERS[kind]
                name = element.name if len(values) == 1 else f"{element.name} {letter}"
                if not element.name:
                    name = next(fresh[letter])
                lossy = kind == ("capacitor" if element.inductor is None else "inductor")
                own = element.resistance if lossy else 0.0
                core = element.core_resistance if kind == "inductor" else None
                parts.append(Part(name, kind, row, place, value, own, core))
    return tuple(parts)


def _numbered(letter: str, taken: set[str]) -> Iterator[str]:
    """L1, L2 and so on, without those that are taken."""
    return (name for n in itertools.count(1) if (name := f"{letter}{n}") not in taken)


def _values(element: Element) -> dict[PartKind, float]:
    """What an element is made of."""
    values: dict[PartKind, float | None] = {
        "inductor": element.inductor,
        "capacitor": element.capacitor,
        "resistor": element.resistor,
    }
    return {kind: value for kind, value in values.items() if value is not None}


def solve_network(
    ladders: Sequence[Sequence[Element]],
    admittance: np.ndarray,
    frequency: np.ndarray,
    resistance: float = 0.0,
) -> Network:
    """Solve all ladders together, at all frequencies at once.

    Nodal analysis with the elements' currents as unknowns too (Ho, Ruehli & Brennan, IEEE Trans.
    Circuits Syst. 22, 1975, 504; from memory): an element is d·v − n·i = 0 with n/d its impedance,
    so neither a short nor an open circuit, as lossless traps are at their resonance, divides by 0.

    Args:
        ladders: the elements from the amplifier to each load.
        admittance: of the loads, A/V, complex (ladder, ladder, frequency): current into one per
            volt at another; off the diagonal 0 for loads that do not know of each other.
        frequency: Hz, above 0, shape (frequency,).
        resistance: of amplifier and cable, ohm; it couples the ladders.

    Returns:
        Voltages, currents and input impedance.
    """
    frequency = np.asarray(frequency, dtype=float)
    parts = parts_of(ladders)
    impedance = [part.impedance(frequency) for part in parts]
    rungs, ends, count = _wired(ladders, parts)
    matrix = np.zeros((frequency.size, count, count), dtype=complex)
    matrix[:, _SUPPLY, [_TERMINALS, _SUPPLY]] = 1.0, resistance
    matrix[:, _TERMINALS, _SUPPLY] = 1.0
    for rung in rungs:
        n, d = rung.relation(impedance)
        matrix[:, rung.start, rung.current] -= 1.0
        matrix[:, rung.current, rung.start] += d
        matrix[:, rung.current, rung.current] -= n
        if rung.end is not None:
            matrix[:, rung.end, rung.current] += 1.0
            matrix[:, rung.current, rung.end] -= d
    for row, node in enumerate(ends):
        for column, other in enumerate(ends):
            matrix[:, node, other] -= admittance[row, column]
    right = np.zeros((frequency.size, count, 1), dtype=complex)
    right[:, _SUPPLY] = 1.0
    found = np.linalg.solve(matrix, right)[..., 0].T
    voltage, current = np.empty((2, len(parts), frequency.size), dtype=complex)
    for rung in rungs:
        across = found[rung.start] - (0.0 if rung.end is None else found[rung.end])
        for number in rung.parts:
            if rung.side_by_side:
                voltage[number], current[number] = across, across / impedance[number]
            else:
                through = found[rung.current]
                voltage[number], current[number] = through * impedance[number], through
    transfer = found[list(ends)]
    with np.errstate(divide="ignore", invalid="ignore"):  # infinite where nothing is drawn
        seen = found[_TERMINALS] / found[_SUPPLY]
    return Network(
        parts=parts,
        transfer=transfer,
        load_current=np.einsum("ijf,jf->if", admittance, transfer),
        input_impedance=seen,
        part_voltage=voltage,
        part_current=current,
    )


_TERMINALS, _SUPPLY = 0, 1
"""Unknowns: the voltage at the amplifier's terminals, its current; then one node after every
element in the way and the current of every element. The row of a node balances its currents."""


@dataclass(frozen=True)
class _Rung:
    """An element between two nodes (no end: ground), its unknown current, and its parts."""

    start: int
    end: int | None
    current: int
    parts: tuple[int, ...]
    side_by_side: bool

    def relation(self, impedance: Sequence[np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
        """n and d of its impedance n/d."""
        own = np.array([impedance[number] for number in self.parts])
        if self.side_by_side:
            return np.ones(own.shape[1]), (1 / own).sum(axis=0)
        return own.sum(axis=0), np.ones(own.shape[1])


def _wired(
    ladders: Sequence[Sequence[Element]], parts: Sequence[Part]
) -> tuple[list[_Rung], list[int], int]:
    """The elements between their nodes, the node of every load, and how many unknowns there are."""
    rungs, ends, free = list[_Rung](), list[int](), 2
    for row, ladder in enumerate(ladders):
        node = _TERMINALS
        for place, element in enumerate(ladder):
            own = tuple(
                number
                for number, part in enumerate(parts)
                if (part.ladder, part.element) == (row, place)
            )
            side = element.joined == "side by side"
            end = free + 1 if element.place == "series" else None
            rungs.append(_Rung(node, end, free, own, side))
            free += 1 if end is None else 2
            node = node if end is None else end
        ends.append(node)
    return rungs, ends, free
