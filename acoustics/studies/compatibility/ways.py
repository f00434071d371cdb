"""Who plays what: the bands that the crossover gives the drivers, and who hands over to whom."""

from __future__ import annotations

import math
from dataclasses import dataclass

from acoustics.case.model import Case, PassFilter
from acoustics.crossover import branches_of

NEIGHBOURS = 2.0
"""octaves: corners farther apart are no crossover"""

ALIKE = 1 / 3
"""octave: corners this close belong to drivers that play together"""

SAME_WAY = 0.5
"""Of the largest piston that nothing plays below: a smaller one lacks its high-pass."""


@dataclass(frozen=True)
class Band:
    """Corners of a driver's high- and low-pass (Hz; 0 and infinity where it has none), orders."""

    low: float = 0.0
    high: float = math.inf
    low_order: int = 0
    high_order: int = 0


@dataclass(frozen=True)
class Pair:
    """Driver `lower` hands over to `upper` (indices) at a frequency (Hz)."""

    lower: int
    upper: int
    frequency: float


@dataclass(frozen=True)
class Ways:
    """Bands of the drivers, the pairs among them, and groups of drivers.

    `lowest` are those nothing plays below, `groups` the others, those of one band together.
    `unknown` have no high-pass and are too small for the lowest: what they play is not known.
    """

    bands: tuple[Band, ...]
    pairs: tuple[Pair, ...]
    lowest: tuple[int, ...]
    groups: tuple[tuple[int, ...], ...]
    unknown: tuple[int, ...]


def ways_of(case: Case) -> Ways:
    """Read a case's crossover.

    The crossover of two drivers is at the corners of the lower's low-pass and the upper's
    high-pass: halfway between them in log frequency, at the one there is where the other has none.
    """
    bands = tuple(_band(branch.sections) for branch in branches_of(case))
    pairs = tuple(pair for upper in range(len(bands)) for pair in _below(bands, upper))
    above = {pair.upper for pair in pairs}
    bottom = [i for i in range(len(bands)) if i not in above]
    widest = max(case.drivers[i].piston_diameter for i in bottom)
    small = [i for i in bottom if case.drivers[i].piston_diameter < SAME_WAY * widest]
    groups: dict[Band, list[int]] = {}
    for i in sorted(above):
        groups.setdefault(bands[i], []).append(i)
    return Ways(
        bands=bands,
        pairs=pairs,
        lowest=tuple(i for i in bottom if i not in small),
        groups=tuple(tuple(members) for members in groups.values()),
        unknown=tuple(small),
    )


def names(case: Case, members: tuple[int, ...]) -> tuple[str, ...]:
    """Names of drivers by their indices."""
    return tuple(case.drivers[i].name for i in members)


def _band(sections: tuple[object, ...]) -> Band:
    passes = [section for section in sections if isinstance(section, PassFilter)]
    lows = [(each.low_corner, each.order) for each in passes if each.low_corner is not None]
    highs = [(each.high_corner, each.order) for each in passes if each.high_corner is not None]
    return Band(
        low=max((corner for corner, _ in lows), default=0.0),
        high=min((corner for corner, _ in highs), default=math.inf),
        low_order=sum(order for _, order in lows),
        high_order=sum(order for _, order in highs),
    )


def _below(bands: tuple[Band, ...], upper: int) -> list[Pair]:
    """The pairs in which a driver is the upper one."""
    start = bands[upper].low
    below = [i for i, band in enumerate(bands) if band.low < start]
    ends = {i: abs(math.log2(bands[i].high / start)) for i in below if bands[i].high < math.inf}
    if not ends:
        return [Pair(i, upper, start) for i in below]
    nearest = min(ends.values())
    if nearest > NEIGHBOURS:
        return []
    return [
        Pair(i, upper, math.sqrt(bands[i].high * start))
        for i, away in ends.items()
        if away < nearest + ALIKE
    ]
