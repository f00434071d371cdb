"""What makes one design better than another, number by number."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import xarray as xr


@dataclass(frozen=True)
class Quality:
    """A number by which designs are ranked.

    `answer` names it in the table; of the places that count (those with `where` among their parts,
    all if that is empty) each design's worst decides. `better` says which end of the scale is
    wanted; `finer` adds digits to those its unit is usually written with.
    """

    name: str
    answer: str
    better: Literal["lower", "higher", "nearer zero"]
    unit: str
    where: str = ""
    finer: int = 0


QUALITIES = (
    Quality("evenness on the reference axis (ripple)", "axis_ripple", "lower", "dB"),
    Quality("evenness of the listening window (ripple)", "window_ripple", "lower", "dB"),
    Quality(
        "evenness relative to the axis (no filter helps)",
        "relative_ripple",
        "lower",
        "dB",
    ),
    Quality("evenness to the sides (worst of 30° and 60°)", "side_ripple", "lower", "dB"),
    Quality("likeness of left and right (rms difference)", "side_difference", "lower", "dB"),
    Quality(
        "width of the beam (at its narrowest)", "least_beamwidth", "higher", "degree", "horizontal"
    ),
    Quality("room for the ears up and down (within 3 dB)", "height_span", "higher", "m"),
    Quality("room for the ears at a crossover (within 3 dB)", "window_height", "higher", "m"),
    Quality("room for the ears sideways (within 3 dB)", "aside_span", "higher", "m"),
    Quality(
        "tilt of the main lobe (at a crossover)",
        "lobe_direction",
        "nearer zero",
        "degree",
        finer=1,
    ),
)


def qualities_for(surfaces: Sequence[str]) -> tuple[Quality, ...]:
    """Every quality that counts, the deepest dip of each surface last."""
    dips = (
        Quality(f"depth of the {name}'s deepest dip", "deepest_dip_depth", "lower", "dB", name)
        for name in surfaces
    )
    return (*QUALITIES, *dips)


@dataclass(frozen=True)
class Ranking:
    """How the designs stand in one quality.

    `values`, `badness` (smaller is better), `uncertainties`, `places` and `at_least` (whether the
    true value may be larger) are those of each design's worst place, in the designs' order. `best`
    holds the designs that cannot be told from the first; all of them: a draw.
    """

    quality: Quality
    values: tuple[float, ...]
    badness: tuple[float, ...]
    uncertainties: tuple[float, ...]
    places: tuple[str, ...]
    at_least: tuple[bool, ...]
    best: tuple[int, ...]

    @property
    def first(self) -> int:
        """The design whose number is the best, be it by ever so little."""
        return self.badness.index(min(self.badness))

    def behind(self, design: int) -> float:
        """By how much a design's number is worse than the best."""
        return self.badness[design] - self.badness[self.first]

    def doubt(self, design: int) -> float:
        """How much worse than the best it must be to be told from it."""
        return self.uncertainties[design] + self.uncertainties[self.first]

    @property
    def draw(self) -> bool:
        """Whether no design can be told from another."""
        return len(self.best) == len(self.values)


def rank(table: xr.Dataset, quality: Quality) -> Ranking | None:
    """Rank the designs of a table in one quality; None where the table has no such number.

    A number that may be larger is never worse than another for being small.
    """
    rows = table.answer.values == quality.answer
    places = table.place.values.astype(str)
    if quality.where:
        rows &= np.array([quality.where in place.split(", ") for place in places], dtype=bool)
    if not rows.any():
        return None
    value, spread = table.value.values[rows], table.uncertainty.values[rows]
    badness = {"lower": value, "higher": -value, "nearer zero": np.abs(value)}[quality.better]
    worst, each = badness.argmax(axis=0), np.arange(value.shape[1])
    bad, doubt = badness[worst, each], spread[worst, each]
    at_least = table.at_least.values[rows][worst, each]
    first = int(bad.argmin())
    alike = bad - bad[first] <= doubt + doubt[first]
    if quality.better == "higher":
        alike |= at_least
    return Ranking(
        quality,
        values=tuple(map(float, value[worst, each])),
        badness=tuple(map(float, bad)),
        uncertainties=tuple(map(float, doubt)),
        places=tuple(map(str, places[rows][worst])),
        at_least=tuple(map(bool, at_least)),
        best=tuple(map(int, np.flatnonzero(alike))),
    )
