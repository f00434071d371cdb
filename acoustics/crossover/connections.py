"""How a passive crossover is joined up: its ladders, and what meets in every node."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from acoustics.case.model import Branch, Case, Driver
from acoustics.case.network_model import Element
from acoustics.crossover.branch import branches_of
from acoustics.crossover.network import Part, parts_of

AMPLIFIER = "amplifier"
SUPPLY, RETURN = "amplifier +", "return"
"""The nodes that everything hangs on: the amplifier's terminals."""

PLUS, MINUS = "plus (+)", "minus (−)"
FIRST, SECOND = "end 1", "end 2"


class Rung(NamedTuple):
    """One element of a ladder and the parts it is made of."""

    element: Element
    parts: tuple[Part, ...]

    @property
    def side_by_side(self) -> bool:
        """Whether its parts stand side by side."""
        return self.element.joined == "side by side"


class Ladder(NamedTuple):
    """What leads from the amplifier to one driver."""

    driver: Driver
    branch: Branch
    rungs: tuple[Rung, ...]

    @property
    def swapped(self) -> bool:
        """Whether the driver's plus goes to the return: one of the two polarities is inverted."""
        return self.driver.inverted != self.branch.inverted


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
    return tuple(
        Ladder(
            driver,
            branch,
            tuple(
                Rung(
                    element,
                    tuple(part for part in parts if (part.ladder, part.element) == (row, place)),
                )
                for place, element in enumerate(branch.elements)
            ),
        )
        for row, (driver, branch) in enumerate(pairs)
    )


def nodes_of(case: Case) -> tuple[Node, ...]:
    """Every node of the passive crossover: the amplifier's plus, those between, the return.

    Those between are called 1, 2 and so on, from the amplifier to the driver, one driver after the
    other. A part's end 1 is the one nearer to the amplifier's plus.
    """
    meet: dict[str, list[Terminal]] = {SUPPLY: [Terminal(AMPLIFIER, PLUS)]}
    back = [Terminal(AMPLIFIER, MINUS)]
    fresh = iter(range(1, 10_000))

    def node() -> str:
        name = str(next(fresh))
        meet[name] = []
        return name

    for ladder in ladders_of(case):
        here = SUPPLY
        for rung in ladder.rungs:
            across = rung.element.place == "across"
            start, chained = here, not rung.side_by_side
            end = "" if across or chained else node()
            for part in rung.parts:
                last = part is rung.parts[-1]
                if chained:
                    end = "" if across and last else node()
                meet[start].append(Terminal(part.name, FIRST))
                (meet[end] if end else back).append(Terminal(part.name, SECOND))
                start = end if chained else start
            here = here if across else end
        top, bottom = (MINUS, PLUS) if ladder.swapped else (PLUS, MINUS)
        meet[here].append(Terminal(ladder.driver.name, top))
        back.append(Terminal(ladder.driver.name, bottom))
    meet[RETURN] = back
    return tuple(Node(name, tuple(terminals)) for name, terminals in meet.items())
