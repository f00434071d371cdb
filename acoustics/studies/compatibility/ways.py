"""Who plays what: the bands that the crossover gives the drivers, and who hands over to whom."""

from __future__ import annotations

from dataclasses import dataclass

from acoustics.case.checks.hand_overs import ALIKE as ALIKE
from acoustics.case.checks.hand_overs import Band as Band
from acoustics.case.checks.hand_overs import Pair as Pair
from acoustics.case.checks.hand_overs import band_of, pairs_of
from acoustics.case.design.model import Case
from acoustics.crossover import branches_of

SAME_WAY = 0.5
"""Of the largest piston that nothing plays below: a smaller one lacks its high-pass."""


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
    """Read a case's crossover, as `case.checks.hand_overs` does."""
    bands = tuple(band_of(branch.sections) for branch in branches_of(case))
    pairs = pairs_of(bands)
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
