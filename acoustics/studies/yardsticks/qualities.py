"""What makes one design better than another, number by number."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
import xarray as xr

from acoustics.studies.yardsticks.build_ends import ends_of
from acoustics.studies.yardsticks.seats import at_another_seat


@dataclass(frozen=True)
class Quality:
    """A number by which designs are ranked.

    `answer` names it in the table; of the places that count (those with `where` among their parts,
    all if that is empty; of seats the main one alone) each design's worst decides. `better` says
    which end of the scale is wanted; `finer` adds digits to those its unit is usually written with.
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


def quality_of(answer: str) -> Quality:
    """The quality that an answer tells of."""
    return next(quality for quality in QUALITIES if quality.answer == answer)


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

    `values`, `badness` (smaller is better), `uncertainties` (how much better the true value may
    be), `worse_by` (how much worse), `places` and `at_least` (whether the true value may be larger)
    are those of each design's worst place, in the designs' order. `best` holds the designs that
    cannot be told from the first; all of them: a draw. Held against builds, `left` is by how much
    each design is worse than the first in nearly all of them, and `calculated` holds the designs
    that the calculation alone cannot tell from the first; else both are empty.
    """

    quality: Quality
    values: tuple[float, ...]
    badness: tuple[float, ...]
    uncertainties: tuple[float, ...]
    worse_by: tuple[float, ...]
    places: tuple[str, ...]
    at_least: tuple[bool, ...]
    best: tuple[int, ...]
    left: tuple[float, ...] = ()
    calculated: tuple[int, ...] = ()

    @property
    def first(self) -> int:
        """The design whose number is the best, be it by ever so little."""
        return self.badness.index(min(self.badness))

    def behind(self, design: int) -> float:
        """By how much a design's number is worse than the best."""
        return self.badness[design] - self.badness[self.first]

    def doubt(self, design: int) -> float:
        """How much worse than the best it must be to be told from it."""
        doubt = self.uncertainties[design] + self.worse_by[self.first]
        return max(doubt, self.behind(design) - self.left[design]) if self.left else doubt

    @property
    def draw(self) -> bool:
        """Whether no design can be told from another."""
        return len(self.best) == len(self.values)

    @property
    def hidden(self) -> bool:
        """Whether the calculation tells designs apart that builds do not."""
        return self.draw and 0 < len(self.calculated) < len(self.values)


def rank(table: xr.Dataset, quality: Quality) -> Ranking | None:
    """Rank the designs of a table in one quality; None where the table has no such number.

    Of the seats the main one counts. A number that may be larger is never worse than another for
    being small, but for those at another place that are known: the worst is no larger than they.
    """
    rows = table.answer.values == quality.answer
    places = table.place.values.astype(str)
    rows &= np.array([not at_another_seat(place) for place in places], dtype=bool)
    if quality.where:
        rows &= np.array([quality.where in place.split(", ") for place in places], dtype=bool)
    if not rows.any():
        return None
    value, spread = table.value.values[rows], table.uncertainty.values[rows]
    is_open = table.at_least.values[rows]
    higher = quality.better == "higher"
    badness = {"lower": value, "higher": -value, "nearer zero": np.abs(value)}[quality.better]
    worst = _smallest(value, spread, is_open) if higher else badness.argmax(axis=0)
    each = np.arange(value.shape[1])
    bad, doubt, at_least = (of[worst, each] for of in (badness, spread, is_open))
    first = int(bad.argmin())
    # Its own error may make the best worse: a dip deeper, which it does by more than shallower.
    upper = (
        table.uncertainty_above.values[rows][worst, each] if quality.better == "lower" else doubt
    )
    alike = bad - bad[first] <= doubt + upper[first]
    if higher:
        most = np.where(is_open, np.inf, value + spread).min(axis=0)
        alike |= at_least & (most >= value[worst[first], first] - doubt[first])
    held: dict[str, tuple[Any, ...]] = {}
    if "built" in table:
        left = _left(table.isel(row=rows), quality, first)
        held = {"left": tuple(map(float, left)), "calculated": _numbers(alike)}
        alike |= left <= 0
    return Ranking(
        quality,
        values=tuple(map(float, value[worst, each])),
        badness=tuple(map(float, bad)),
        uncertainties=tuple(map(float, doubt)),
        worse_by=tuple(map(float, upper)),
        places=tuple(map(str, places[rows][worst])),
        at_least=tuple(map(bool, at_least)),
        best=_numbers(alike),
        **held,
    )


def _numbers(alike: np.ndarray) -> tuple[int, ...]:
    return tuple(map(int, np.flatnonzero(alike)))


def _left(rows: xr.Dataset, quality: Quality, first: int) -> np.ndarray:
    """By how much each design is worse than the first in nearly all builds, by their worst places.

    Returns:
        The lower end of the band of differences, shape (design,); 0 for the first.
    """
    value, larger = rows.built.values, rows.built_at_least.values
    if quality.better == "higher":
        worst = np.stack(
            [
                _smallest(each, np.zeros(each.shape), on)
                for each, on in zip(value, larger, strict=True)
            ]
        )
        bad = -np.take_along_axis(value, worst[:, None], axis=1)[:, 0]
        sure = ~np.take_along_axis(larger, worst[:, None], axis=1)[:, 0]
    else:
        bad = (value if quality.better == "lower" else np.abs(value)).max(axis=1)
        sure = np.ones(bad.shape, dtype=bool)
    behind = bad - bad[:, [first]]
    # One that may be larger than told is not sure to be the smaller.
    low, _ = ends_of(np.where(sure, behind, np.minimum(behind, 0.0)), rows.attrs["band"])
    return low


def _smallest(value: np.ndarray, spread: np.ndarray, is_open: np.ndarray) -> np.ndarray:
    """The row of each column's smallest value, a known one before one that is only a least.

    Args:
        value: shape (row, design).
        spread: how far it may be off.
        is_open: whether it may be larger.

    Returns:
        Row of each design.
    """
    least, each = value.argmin(axis=0), np.arange(value.shape[1])
    known = np.where(is_open, np.inf, value)
    nearest = known.argmin(axis=0)
    bounded = known[nearest, each] - spread[nearest, each] <= (value + spread)[least, each]
    return np.where(bounded, nearest, least)
