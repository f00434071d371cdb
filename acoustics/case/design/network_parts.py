"""The single components of a passive crossover: their names and their impedances."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from string import ascii_lowercase
from typing import Literal

import numpy as np

from acoustics.case.design.network_model import Element

PartKind = Literal["inductor", "capacitor", "resistor"]
LETTERS: dict[PartKind, str] = {"inductor": "L", "capacitor": "C", "resistor": "R"}


@dataclass(frozen=True)
class Part:
    """One component: its name, what it is, in which ladder and which element of it.

    `value` in H, F or ohm; `resistance` in series with it and `core_resistance` beside an
    inductance in ohm, None for none. `pieces` are the values that make up one that is bought as
    two: capacitors side by side, resistors one after the other.
    """

    name: str
    kind: PartKind
    ladder: int
    element: int
    value: float
    resistance: float = 0.0
    core_resistance: float | None = None
    pieces: tuple[float, ...] = ()


def parts_of(ladders: Sequence[Sequence[Element]]) -> tuple[Part, ...]:
    """Every component of some ladders, in their order.

    One without a name is called L1, C1, R1 and so on, counted over all ladders; those of an element
    with a name and several components by the name and their letter.
    """
    given = {element.name for ladder in ladders for element in ladder}
    fresh = {kind: _numbered(letter, given) for kind, letter in LETTERS.items()}
    parts = []
    for row, ladder in enumerate(ladders):
        for place, element in enumerate(ladder):
            values = _values(element)
            lossy = "capacitor" if element.inductor is None else "inductor"
            for kind, pieces in values:
                name = element.name if len(values) == 1 else f"{element.name} {LETTERS[kind]}"
                if not element.name:
                    name = next(fresh[kind])
                own = element.resistance if kind == lossy else 0.0
                core = element.core_resistance if kind == "inductor" else None
                more = pieces if len(pieces) > 1 else ()
                parts.append(Part(name, kind, row, place, sum(pieces), own, core, more))
    return tuple(parts)


def pieces_of(part: Part) -> tuple[Part, ...]:
    """What is bought for a part: itself, or each of its pieces, called a, b and so on.

    Capacitors side by side share a loss so that each has its part of the current.
    """
    if not part.pieces:
        return (part,)
    return tuple(
        replace(
            part,
            name=f"{part.name} ({letter})",
            value=value,
            resistance=part.resistance * part.value / value,
            pieces=(),
        )
        for letter, value in zip(ascii_lowercase, part.pieces, strict=False)
    )


def part_impedances(parts: Sequence[Part], frequency: np.ndarray) -> np.ndarray:
    """Ohm, complex, shape (part, frequency); `frequency` in Hz, above 0."""
    omega = 2 * np.pi * frequency
    coil, stiff, ohm = np.zeros((3, len(parts), 1))
    for row, part in enumerate(parts):
        ohm[row] = part.resistance
        if part.kind == "resistor":
            ohm[row] += part.value
        elif part.kind == "capacitor":
            stiff[row] = 1 / part.value
        else:
            coil[row] = part.value
    answer = np.empty((len(parts), frequency.size), dtype=complex)
    answer.real, answer.imag = ohm, coil * omega - stiff / omega
    for row, part in enumerate(parts):
        if part.core_resistance is not None:
            s = 1j * answer.imag[row]
            answer[row] = s * part.core_resistance / (s + part.core_resistance) + part.resistance
    return answer


def element_relations(
    elements: Sequence[Element], parts: Sequence[Part], impedance: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """n and d of the impedance n/d of every element, complex (element, frequency).

    So neither a short nor an open circuit, as traps without losses are at their resonance, divides
    by 0. `parts` are those of the elements in their order, `impedance` theirs.
    """
    if not elements:
        return impedance, impedance
    own = [(part.ladder, part.element) for part in parts]
    first = [row for row, place in enumerate(own) if row == 0 or place != own[row - 1]]
    n = np.add.reduceat(impedance, first, axis=0) if len(first) < len(own) else impedance
    d = np.ones_like(n)
    side = [element.joined == "side by side" for element in elements]
    if any(side):
        n[side] = 1.0
        d[side] = np.add.reduceat(1 / impedance, first, axis=0)[side]
    return n, d


def _numbered(letter: str, taken: set[str]) -> Iterator[str]:
    """L1, L2 and so on, without those that are taken."""
    return (name for n in itertools.count(1) if (name := f"{letter}{n}") not in taken)


def _values(element: Element) -> list[tuple[PartKind, tuple[float, ...]]]:
    """What an element is made of, and the pieces of each."""
    values: list[tuple[PartKind, tuple[float | None, ...]]] = [
        ("inductor", (element.inductor,)),
        ("capacitor", (element.capacitor, element.second_capacitor)),
        ("resistor", (element.resistor, element.second_resistor)),
    ]
    pieces = [(kind, tuple(v for v in each if v is not None)) for kind, each in values]
    return [(kind, each) for kind, each in pieces if each]
