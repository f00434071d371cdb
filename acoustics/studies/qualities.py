"""What makes one design better than another, number by number."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np
import xarray as xr


@dataclass(frozen=True)
class Quality:
    """A number by which designs are ranked.

    `answer` names it in the table; `places` are the places that count (all where empty), of which
    each design's worst decides. `better` says which end of the scale is wanted.
    """

    name: str
    answer: str
    better: Literal["lower", "higher", "nearer zero"]
    unit: str
    digits: int
    places: tuple[str, ...] = field(default=())


QUALITIES = (
    Quality("evenness on the reference axis (ripple)", "axis_ripple", "lower", "dB", 1),
    Quality("evenness at the seat (ripple)", "seat_ripple", "lower", "dB", 1),
    Quality("evenness 30° to the left (ripple)", "side_ripple", "lower", "dB", 1, ("30° left",)),
    Quality("evenness 30° to the right (ripple)", "side_ripple", "lower", "dB", 1, ("30° right",)),
    Quality("evenness 60° to the left (ripple)", "side_ripple", "lower", "dB", 1, ("60° left",)),
    Quality("evenness 60° to the right (ripple)", "side_ripple", "lower", "dB", 1, ("60° right",)),
    Quality("likeness of left and right (rms difference)", "side_difference", "lower", "dB", 1),
    Quality(
        "width of the beam (wider counts as better)",
        "least_beamwidth",
        "higher",
        "degree",
        0,
        ("horizontal",),
    ),
    Quality(
        "room for the ears up and down (3 dB at a crossover)", "window_height", "higher", "m", 2
    ),
    Quality("direction of the main lobe", "lobe_direction", "nearer zero", "degree", 1),
    Quality("depth of the floor's first dip", "dip_depth", "lower", "dB", 1),
)


@dataclass(frozen=True)
class Ranking:
    """How the designs stand in one quality.

    `values` and `uncertainties` are those of each design's worst place, in the designs' order.
    `best` holds the designs that cannot be told from the best; all of them: a draw.
    """

    quality: Quality
    values: tuple[float, ...]
    uncertainties: tuple[float, ...]
    best: tuple[int, ...]

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
    best = tuple(int(i) for i in np.flatnonzero(bad - bad[first] <= doubt + doubt[first]))
    chosen = value[worst, each]
    return Ranking(quality, tuple(map(float, chosen)), tuple(map(float, doubt)), best)
