"""The crossovers of a design whose corners a search may move: both sides in one ratio."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from acoustics.case.design.model import Branch, Case, PassFilter
from acoustics.crossover.branch import branches_of
from acoustics.studies.compatibility.ways import ALIKE, ways_of


@dataclass(frozen=True)
class Corner:
    """One corner of a section: driver and section by their indices, and whether the low one."""

    driver: int
    section: int
    low: bool
    frequency: float


@dataclass(frozen=True)
class Crossover:
    """Where drivers hand over to others (Hz), and the corners of both sides that make it."""

    frequency: float
    corners: tuple[Corner, ...]


def crossovers_of(case: Case) -> tuple[Crossover, ...]:
    """The crossovers of a case that have corners, from the lowest up.

    Pairs of drivers whose corners lie within a third of an octave share a crossover.
    """
    ways, branches = ways_of(case), branches_of(case)
    groups: list[list[int]] = []
    order = sorted(range(len(ways.pairs)), key=lambda n: ways.pairs[n].frequency)
    for number in order:
        last = ways.pairs[groups[-1][-1]].frequency if groups else 0.0
        if last and math.log2(ways.pairs[number].frequency / last) <= ALIKE:
            groups[-1].append(number)
        else:
            groups.append([number])
    found = []
    for group in groups:
        pairs = [ways.pairs[n] for n in group]
        sides = [(pair.lower, False) for pair in pairs] + [(pair.upper, True) for pair in pairs]
        corners = [
            corner
            for driver, low in dict.fromkeys(sides)
            for corner in _corners(branches[driver], driver, low, ways.bands[driver])
        ]
        if corners:
            product = math.prod(pair.frequency for pair in pairs)
            found.append(Crossover(product ** (1 / len(pairs)), tuple(corners)))
    return tuple(found)


def moved_branches(
    case: Case, crossovers: Sequence[Crossover], frequencies: Sequence[float]
) -> tuple[Branch, ...]:
    """The branch of every driver with the crossovers at other frequencies (Hz)."""
    sections = [list(branch.sections) for branch in branches_of(case)]
    for crossover, frequency in zip(crossovers, frequencies, strict=True):
        ratio = frequency / crossover.frequency
        for corner in crossover.corners:
            section = sections[corner.driver][corner.section]
            assert isinstance(section, PassFilter)
            moved = corner.frequency * ratio
            sections[corner.driver][corner.section] = (
                replace(section, low_corner=moved)
                if corner.low
                else replace(section, high_corner=moved)
            )
    return tuple(
        replace(branch, sections=tuple(own))
        for branch, own in zip(branches_of(case), sections, strict=True)
    )


def _corners(branch: Branch, driver: int, low: bool, band: object) -> list[Corner]:
    """A side's corners at its crossover: those of cascaded sections lie close together."""
    own = getattr(band, "low" if low else "high")
    found = []
    for n, section in enumerate(branch.sections):
        if isinstance(section, PassFilter):
            corner = section.low_corner if low else section.high_corner
            if corner is not None and abs(math.log2(corner / own)) <= ALIKE:
                found.append(Corner(driver, n, low, corner))
    return found
