"""Who hands over to whom: the bands that filters give the drivers, told by their corners."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from acoustics.case.design.section_model import PassFilter

NEIGHBOURS = 2.0
"""octaves: corners farther apart are no crossover"""

ALIKE = 1 / 3
"""octave: corners this close belong to drivers that play together"""


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


def band_of(sections: Sequence[object]) -> Band:
    """The band that a driver's sections give it; other sections than passes do not count."""
    passes = [section for section in sections if isinstance(section, PassFilter)]
    lows = [(each.low_corner, each.order) for each in passes if each.low_corner is not None]
    highs = [(each.high_corner, each.order) for each in passes if each.high_corner is not None]
    return Band(
        low=max((corner for corner, _ in lows), default=0.0),
        high=min((corner for corner, _ in highs), default=math.inf),
        low_order=sum(order for _, order in lows),
        high_order=sum(order for _, order in highs),
    )


def pairs_of(bands: Sequence[Band]) -> tuple[Pair, ...]:
    """Every driver that hands over to another.

    The crossover of two drivers is at the corners of the lower's low-pass and the upper's
    high-pass: halfway between them in log frequency, at the one there is where the other has none.
    """
    return tuple(pair for upper in range(len(bands)) for pair in _below(bands, upper))


def crossovers_of_pairs(pairs: Sequence[Pair]) -> tuple[tuple[Pair, ...], ...]:
    """The pairs at each crossover, from the lowest up: those within a third of an octave."""
    groups = list[list[Pair]]()
    for pair in sorted(pairs, key=lambda each: each.frequency):
        if groups and math.log2(pair.frequency / groups[-1][-1].frequency) <= ALIKE:
            groups[-1].append(pair)
        else:
            groups.append([pair])
    return tuple(map(tuple, groups))


def _below(bands: Sequence[Band], upper: int) -> list[Pair]:
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
