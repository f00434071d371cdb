"""What a search for a layout found."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from acoustics.case.design.place_model import Place, Quality, Treatment

Ending = str
"""What ends the room round a value: "worse", "rule" or "span"."""


@dataclass(frozen=True)
class Arranged:
    """One layout: where the moved drivers sit, how they are tuned, and its figures.

    `positions` by driver, (right, up) from the face's centre, m; `corners` of the crossovers that
    move, Hz, from the lowest up; `delays` by driver, s. `treatment` of the edges, None for those of
    the case. `figures` of every quality that can be told, dB, from fields solved for this layout.
    """

    positions: dict[str, tuple[float, float]]
    corners: tuple[float, ...]
    delays: dict[str, float]
    treatment: Treatment | None
    figures: dict[Quality, float]


@dataclass(frozen=True)
class Freedom:
    """How far one value of the best layout may go, all others kept, until the aim is worse.

    `name` is that of the variable ("tweeter up"); `value`, `low` and `high` in m, Hz or s as `unit`
    has it; `low_end` and `high_end` say what ends it: the aim ("worse"), a rule of the layout
    ("rule"), or the span within which it was looked for ("span"). `line` are values in a row, all
    over the span, each with the aim (dB) there, NaN where it breaks a rule.
    """

    name: str
    unit: str
    value: float
    low: float
    high: float
    low_end: Ending
    high_end: Ending
    line: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True)
class LayoutFound:
    """The answer of `search_layout`.

    question: as it was asked, with the moved drivers named. start: the layout of the case; best:
    the best that keeps to every rule; gain: by how many dB the aim is better there, below 0 only
    where the start keeps not to the rules. broken: what the start breaks, in words. front:
    layouts that none found beats in both aims, the best by the aim first; knee: which of them
    gives up least of either, None without a front. freedom: of each value of the best; within:
    dB by which the aim may be worse there. tried: layouts that were judged; deviation: dB by which
    levels of the tables were off from places solved by themselves, at most. lattices: of each moved
    driver, by how much its own rules are broken all over its face with the edges of the best, see
    `places.Allowed`. names: of the unknowns; archive: their values in all layouts judged, (layout,
    unknown); archive_aims: dB, (layout, aim); archive_treatment: which treatment each had, as an
    index of `treatments`.
    """

    question: Place
    start: Arranged
    best: Arranged
    gain: float
    broken: tuple[str, ...]
    front: tuple[Arranged, ...]
    knee: int | None
    freedom: tuple[Freedom, ...]
    within: float
    tried: int
    deviation: float
    lattices: tuple[np.ndarray, ...]
    names: tuple[str, ...]
    treatments: tuple[Treatment | None, ...]
    archive: np.ndarray
    archive_aims: np.ndarray
    archive_treatment: np.ndarray

    @property
    def stays(self) -> bool:
        """Whether nothing better than the present layout was found."""
        return self.best == self.start
