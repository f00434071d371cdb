"""What makes one design better than another, number by number."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import xarray as xr


@dataclass(frozen=True)
class Quality:
    """A number by which designs are ranked.

    `answer` names it in the table; `places` are the places that count (all where empty), of which
    each design's worst decides. `better` says which end of the scale is wanted; `finer` adds
    digits to those its unit is usually written with.
    """

    name: str
    answer: str
    better: Literal["lower", "higher", "nearer zero"]
    unit: str
    places: tuple[str, ...] = ()
    finer: int = 0


QUALITIES = (
    Quality("evenness on the reference axis (ripple)", "axis_ripple", "lower", "dB"),
    Quality("evenness at the seat (ripple)", "seat_ripple", "lower", "dB"),
    Quality("evenness 30° to the left (ripple)", "side_ripple", "lower", "dB", ("30° left",)),
    Quality("evenness 30° to the right (ripple)", "side_ripple", "lower", "dB", ("30° right",)),
    Quality("evenness 60° to the left (ripple)", "side_ripple", "lower", "dB", ("60° left",)),
    Quality("evenness 60° to the right (ripple)", "side_ripple", "lower", "dB", ("60° right",)),
    Quality("likeness of left and right (rms difference)", "side_difference", "lower", "dB"),
    Quality(
        "width of the beam (wider counts as better)",
        "least_beamwidth",
        "higher",
        "degree",
        ("horizontal",),
    ),
    Quality("room for the ears up and down (3 dB at a crossover)", "window_height", "higher", "m"),
    Quality(
        "direction of the main lobe (nearer the axis counts as better)",
        "lobe_direction",
        "nearer zero",
        "degree",
        finer=1,
    ),
    Quality("depth of the floor's first dip", "dip_depth", "lower", "dB"),
    Quality("depth of the floor's deepest dip", "deepest_dip_depth", "lower", "dB"),
)


@dataclass(frozen=True)
class Ranking:
    """How the designs stand in one quality.

    `values`, `badness` (smaller is better) and `uncertainties` are those of each design's worst
    place, in the designs' order. `best` holds the designs that cannot be told from the first; all
    of them: a draw.
    """

    quality: Quality
    values: tuple[float, ...]
    badness: tuple[float, ...]
    uncertainties: tuple[float, ...]
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
    """Rank the designs of a table in one quality; None where the table has no such number."""
    rows = table.answer.values == quality.answer
    if quality.places:
        rows &= np.isin(table.place.values, quality.places)
    if not rows.any():
        return None
    value, spread = table.value.values[rows], table.uncertainty.values[rows]
    badness = {"lower": value, "higher": -value, "nearer zero": np.abs(value)}[quality.better]
    worst, each = badness.argmax(axis=0), np.arange(value.shape[1])
    bad, doubt = badness[worst, each], spread[worst, each]
    first = int(bad.argmin())
    best = np.flatnonzero(bad - bad[first] <= doubt + doubt[first])
    return Ranking(
        quality,
        values=tuple(map(float, value[worst, each])),
        badness=tuple(map(float, bad)),
        uncertainties=tuple(map(float, doubt)),
        best=tuple(map(int, best)),
    )
