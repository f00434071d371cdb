"""How a passive crossover is joined up: its networks, and what meets in every node."""

from __future__ import annotations

import itertools
from collections.abc import Hashable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

from acoustics.case.design.model import Branch, Case, Driver
from acoustics.case.design.network_model import Element
from acoustics.case.design.network_nodes import AMPLIFIER, RETURN, Ends, Wiring, wiring_of
from acoustics.case.design.network_parts import Part, parts_of, pieces_of
from acoustics.crossover.branch import branches_of

SUPPLY = "amplifier +"
"""The node of the amplifier's plus; that of its minus is the return."""

PLUS, MINUS = "plus (+)", "minus (−)"
FIRST, SECOND = "end 1", "end 2"


class Rung(NamedTuple):
    """One element of a network, between which of its nodes it lies, and the parts it is made of."""

    element: Element
    ends: Ends
    parts: tuple[Part, ...]

    @property
    def side_by_side(self) -> bool:
        """Whether its parts stand side by side."""
        return self.element.joined == "side by side"


class Ladder(NamedTuple):
    """What leads from the amplifier to one driver: a ladder, or a network of another form."""

    driver: Driver
    branch: Branch
    wiring: Wiring
    rungs: tuple[Rung, ...]

    @property
    def swapped(self) -> bool:
        """Whether the driver's plus and minus change places: one of two polarities is inverted."""
        return self.driver.inverted != self.branch.inverted

    @property
    def free(self) -> bool:
        """Whether its nodes have names, so that it need not be a ladder."""
        return any(rung.element.between is not None for rung in self.rungs)


class Terminal(NamedTuple):
    """One end of a part, or a terminal of a driver or of the amplifier.

    `of` is the name of what it belongs to; `which` is `PLUS` or `MINUS`, of parts `FIRST` or
    `SECOND`, so that a part and a driver of the same name are not taken for each other.
    """

    of: str
    which: str


@dataclass(frozen=True)
class Node:
    """What is joined to each other: its name, and the terminals that meet there."""

    name: str
    terminals: tuple[Terminal, ...]


def ladders_of(case: Case) -> tuple[Ladder, ...]:
    """The passive branches of a case, in the order of its drivers."""
    pairs = [
        (driver, branch)
        for driver, branch in zip(case.drivers, branches_of(case), strict=True)
        if branch.slopes == "passive"
    ]
    parts = parts_of([branch.elements for _, branch in pairs])
    found = []
    for row, (driver, branch) in enumerate(pairs):
        wiring = wiring_of(branch.elements)
        rungs = [
            Rung(
                element,
                ends,
                tuple(part for part in parts if (part.ladder, part.element) == (row, place)),
            )
            for place, (element, ends) in enumerate(zip(branch.elements, wiring.ends, strict=True))
        ]
        found.append(Ladder(driver, branch, wiring, tuple(rungs)))
    return tuple(found)


def nodes_of(case: Case) -> tuple[Node, ...]:
    """Every node of the passive crossover: the amplifier's plus, those between, the return.

    Those between are called 1, 2 and so on, from the amplifier to the driver, one driver after the
    other; those that have a name in the case by it and their driver's. A part's end 1 is at the
    node that comes first.
    """
    meet: dict[Hashable, list[Terminal]] = {
        AMPLIFIER: [Terminal(AMPLIFIER, PLUS)],
        RETURN: [Terminal(AMPLIFIER, MINUS)],
    }
    names: dict[Hashable, str] = {AMPLIFIER: SUPPLY, RETURN: RETURN}
    numbers = itertools.count(1)
    for row, ladder in enumerate(ladders_of(case)):
        for node, terminal in _ends_of(ladder):
            place: Hashable = node if node in (AMPLIFIER, RETURN) else (row, node)
            if place not in names:
                named = ladder.free and isinstance(node, str)
                names[place] = f"{node} ({ladder.driver.name})" if named else str(next(numbers))
            meet.setdefault(place, []).append(terminal)
    meet[RETURN] = meet.pop(RETURN)  # to the end
    return tuple(Node(names[place], tuple(ends)) for place, ends in meet.items())


def _ends_of(ladder: Ladder) -> Iterator[tuple[Hashable, Terminal]]:
    """Every terminal of a network and the node it is joined to.

    A node within an element is told by the numbers of the element, of the part before it, and of
    the piece.
    """
    for place, rung in enumerate(ladder.rungs):
        here: Hashable
        here, end = rung.ends
        for number, part in enumerate(rung.parts):
            there = end if rung.side_by_side or part is rung.parts[-1] else (place, number)
            pieces = pieces_of(part)
            chained = part.kind == "resistor"
            start: Hashable = here
            for count, piece in enumerate(pieces):
                within = chained and piece is not pieces[-1]
                stop: Hashable = (place, number, count) if within else there
                yield start, Terminal(piece.name, FIRST)
                yield stop, Terminal(piece.name, SECOND)
                start = stop if chained else start
            here = here if rung.side_by_side else there
    marks = (MINUS, PLUS) if ladder.swapped else (PLUS, MINUS)
    for mark, node in zip(marks, ladder.wiring.driver, strict=True):
        yield node, Terminal(ladder.driver.name, mark)
