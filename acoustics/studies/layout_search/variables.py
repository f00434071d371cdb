"""The unknowns of a search in a row, and what they make of places and filters."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from acoustics.case.design.model import Branch, Case
from acoustics.case.design.place_model import Place
from acoustics.crossover.branch import branches_of, slopes_response
from acoustics.studies.layout_search.crossovers import Crossover, moved_branches
from acoustics.studies.layout_search.sites import Site

Kind = Literal["right", "up", "corner", "delay"]


@dataclass(frozen=True)
class Variable:
    """One unknown: of a moved driver its place (m), of a crossover its corner (Hz), a delay (s).

    `owner` is the number of the moved driver, of the crossover from the lowest up, or of the
    delayed driver among those of the question. `present` is its value in the case.
    """

    name: str
    kind: Kind
    owner: int
    low: float
    high: float
    present: float

    def value(self, share: np.ndarray) -> np.ndarray:
        """Values at shares (0 to 1) of the span, even in octaves for a corner."""
        if self.kind == "corner":
            answer: np.ndarray = self.low * (self.high / self.low) ** share
            return answer
        return self.low + (self.high - self.low) * share

    def share(self, value: np.ndarray) -> np.ndarray:
        """Where values lie in the span, from 0 to 1; 0 in one without width."""
        low, high = self.low, self.high
        if self.kind == "corner":
            low, high, value = np.log(low), np.log(high), np.log(value)
        if high <= low:
            return np.zeros_like(np.asarray(value, dtype=float))
        answer: np.ndarray = (np.asarray(value, dtype=float) - low) / (high - low)
        return answer


@dataclass(frozen=True)
class Unknowns:
    """All variables of a question on one body; layouts are rows of their values.

    `taken` are the indices of the drivers taken out of the scene: the moved ones, then those whose
    filters alone may change.
    """

    case: Case
    variables: tuple[Variable, ...]
    sites: tuple[Site, ...]
    crossovers: tuple[Crossover, ...]
    delayed: tuple[int, ...]
    taken: tuple[int, ...]

    def positions(self, rows: np.ndarray) -> list[np.ndarray]:
        """Of each moved driver, (layout, 2), right and up, m."""
        return [rows[:, 2 * n : 2 * n + 2] for n in range(len(self.sites))]

    def centres(self, rows: np.ndarray) -> list[np.ndarray]:
        """Likewise in the cabinet's coordinates, m, (layout, 3)."""
        return [
            site.frame.points(*places.T)
            for site, places in zip(self.sites, self.positions(rows), strict=True)
        ]

    def tuning(self, row: np.ndarray) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """Corners (Hz) and delays (s) of one layout."""
        kinds = [variable.kind for variable in self.variables]
        corners, delays = (
            tuple(float(value) for value, kind in zip(row, kinds, strict=True) if kind == wanted)
            for wanted in ("corner", "delay")
        )
        return corners, delays

    def branches(self, row: np.ndarray) -> tuple[Branch, ...]:
        """The branch of every driver in one layout."""
        corners, delays = self.tuning(row)
        branches = list(moved_branches(self.case, self.crossovers, corners))
        for driver, delay in zip(self.delayed, delays, strict=True):
            branches[driver] = replace(branches[driver], delay=delay)
        return tuple(branches)

    def factors(self, rows: np.ndarray, frequency: np.ndarray) -> list[np.ndarray | None]:
        """What layouts make of the slopes of each driver taken out, see `Scene.drives`."""
        if not self.crossovers and not self.delayed:
            return [None] * len(self.taken)
        present = branches_of(self.case)
        changed = [self.branches(row) for row in rows]
        found: list[np.ndarray | None] = []
        for driver in self.taken:
            rate = self.case.sampling_rate if present[driver].slopes == "electrical" else None
            own = slopes_response(present[driver], frequency, rate)
            others = [slopes_response(each[driver], frequency, rate) for each in changed]
            found.append(np.array(others) / own)
        return found


def unknowns_of(
    case: Case,
    asked: Place,
    sites: Sequence[Site],
    boxes: Sequence[np.ndarray],
    crossovers: Sequence[Crossover],
) -> Unknowns:
    """Lay the unknowns of a question in a row: right and up of each driver, corners, delays."""
    names = [driver.name for driver in case.drivers]
    found = list[Variable]()
    for number, (site, box) in enumerate(zip(sites, boxes, strict=True)):
        kinds: tuple[Kind, Kind] = ("right", "up")
        for kind, (low, high), present in zip(kinds, box, site.driver.position, strict=True):
            name = f"{site.driver.name} {kind}"
            found.append(Variable(name, kind, number, float(low), float(high), float(present)))
    for number, (crossover, span) in enumerate(zip(crossovers, asked.corners, strict=True)):
        name = f"corner {number + 1}" if len(crossovers) > 1 else "corner"
        found.append(Variable(name, "corner", number, *span, crossover.frequency))
    branches = branches_of(case)
    delayed = tuple(names.index(each.driver) for each in asked.delays)
    for number, each in enumerate(asked.delays):
        present = branches[delayed[number]].delay
        found.append(Variable(f"{each.driver} delay", "delay", number, *each.span, present))
    tuned = [corner.driver for crossover in crossovers for corner in crossover.corners]
    moved = [site.index for site in sites]
    taken = tuple(dict.fromkeys([*moved, *tuned, *delayed]))
    return Unknowns(case, tuple(found), tuple(sites), tuple(crossovers), delayed, taken)
