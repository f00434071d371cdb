"""Which slopes each driver of a passive crossover is to have, before any part is chosen."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from acoustics.case.design.fit_model import Fit
from acoustics.case.design.model import Alignment, Biquad, Branch, Case, Fir, PassFilter, Section
from acoustics.conventions import RoundoverError
from acoustics.crossover.alignments import ALIGNMENTS
from acoustics.crossover.branch import branches_of
from acoustics.crossover.textbook import CORNERS, Kind
from acoustics.studies.crossover_fit.candidates import refuse_alike, spans_of
from acoustics.studies.crossover_fit.scene import Scene
from acoustics.studies.wording import hertz

USUAL: tuple[Alignment, int] = ("linkwitz-riley", 4)
"""Alignment and order where the case says nothing (common practice, no source)."""

ORDERS = 2, 3, 4
"""of the textbook ladders that are held beside the one asked for"""

OTHER: Alignment = "butterworth"
"""Alignment of orders that the one asked for does not have."""


@dataclass(frozen=True)
class Slopes:
    """What one driver is to do.

    `sections` are all that its sound is to follow; corners in Hz, None where there is none. `asked`
    are alignment and order of its pass sections, each once. `stated` is whether the case says so,
    else the corners are taken from the drivers. `level` in dB at 1 m for 2.83 V, None if the case
    has none; `delay` in s.
    """

    driver: str
    kind: Kind
    sections: tuple[Section, ...]
    low_corner: float | None
    high_corner: float | None
    asked: tuple[tuple[Alignment, int], ...]
    stated: bool
    level: float | None = None
    inverted: bool = False
    delay: float = 0.0

    @property
    def corners(self) -> tuple[float, ...]:
        """Those it has, the lower first, Hz."""
        return tuple(each for each in (self.low_corner, self.high_corner) if each is not None)

    def textbook(self) -> tuple[tuple[Alignment, int], ...]:
        """Alignments and orders of the ladders to look at, by order: the usual, and those asked."""
        alignment = self.asked[0][0]
        usual: list[tuple[Alignment, int]] = [
            (alignment if _has(alignment, n) else OTHER, n) for n in ORDERS
        ]
        return tuple(sorted({*usual, *self.asked}, key=lambda each: (each[1], each[0])))


def slopes_of(case: Case, scene: Scene, fit: Fit) -> tuple[Slopes, ...]:
    """The slopes of every driver of a scene, in its order.

    Those of the driver's pass sections; where it has none, Linkwitz-Riley of order 4 at its
    neighbour's corner, or about the middle of where the two may hand over.

    Raises:
        RoundoverError: a single driver without sections, two that are alike without any, a driver
            without a band, or a corner beyond the predicted frequencies.
    """
    given = {branch.driver: branch for branch in branches_of(case)}
    own = [_corners(given[name]) for name in scene.names]
    where = case.path or case.title
    if len(own) == 1 and own[0] == (None, None):
        raise RoundoverError(
            f"{where}: {scene.names[0]} is the only driver of the passive crossover, and nothing "
            "says where it hands over; give it acoustic slopes with a high-pass or low-pass section"
        )
    refuse_alike(case, [name for name in scene.names if _stated(given[name]) is None])
    middles = [float(np.sqrt(low * high)) for low, high in spans_of(case, scene, fit)]
    found = []
    for n, name in enumerate(scene.names):
        slopes = _stated(given[name])
        if slopes is None:
            low = (own[n - 1][1] or middles[n - 1]) if n else None
            high = (own[n + 1][0] or middles[n]) if n < len(own) - 1 else None
            slopes = _usual(given[name], low, high)
        _check(slopes, where, scene.frequency)
        found.append(slopes)
    return tuple(found)


def _stated(branch: Branch) -> Slopes | None:
    """The slopes of a branch with pass sections; None without any."""
    passes = [each for each in branch.sections if isinstance(each, PassFilter)]
    if not passes:
        return None
    low, high = _corners(branch)
    return Slopes(
        driver=branch.driver,
        kind=_kind(low, high),
        sections=branch.sections,
        low_corner=low,
        high_corner=high,
        asked=tuple(dict.fromkeys((each.alignment, each.order) for each in passes)),
        stated=True,
        level=branch.level,
        inverted=branch.inverted,
        delay=branch.delay,
    )


def _usual(branch: Branch, low: float | None, high: float | None) -> Slopes:
    """The usual slopes about some corners, with all else that the branch has."""
    kind = _kind(low, high)
    section = PassFilter(kind, *USUAL, low, high)
    return Slopes(
        driver=branch.driver,
        kind=kind,
        sections=(*branch.sections, section),
        low_corner=low,
        high_corner=high,
        asked=(USUAL,),
        stated=False,
        level=branch.level,
        inverted=branch.inverted,
        delay=branch.delay,
    )


def _corners(branch: Branch) -> tuple[float | None, float | None]:
    """Low and high corner of a branch's pass sections, of several the ones that bind, Hz."""
    passes = [each for each in branch.sections if isinstance(each, PassFilter)]
    lows = [each.low_corner for each in passes if each.low_corner is not None]
    highs = [each.high_corner for each in passes if each.high_corner is not None]
    return max(lows, default=None), min(highs, default=None)


def _kind(low: float | None, high: float | None) -> Kind:
    has = low is not None, high is not None
    return next(kind for kind, corners in CORNERS.items() if corners == has)


def _has(alignment: str, order: int) -> bool:
    """Whether an alignment has an order."""
    try:
        ALIGNMENTS[alignment](order)
    except RoundoverError:
        return False
    return True


def _check(slopes: Slopes, where: str, frequency: np.ndarray) -> None:
    if any(isinstance(each, Biquad | Fir) for each in slopes.sections):
        raise RoundoverError(
            f"{where}: {slopes.driver} is to follow coefficients or taps, and those are a "
            "processor's alone; give it pass sections, peaks and shelves for a passive crossover"
        )
    corners = slopes.corners
    told = " and ".join(map(hertz, corners))
    whence = "its sections say" if slopes.stated else "is taken from the drivers"
    if len(corners) == 2 and not corners[0] < corners[1]:
        raise RoundoverError(
            f"{where}: {slopes.driver} is left no band between its corners {told}, as {whence}; "
            "move its sections apart, or say in fit.crossovers where drivers may hand over"
        )
    if not all(frequency[0] <= corner <= frequency[-1] for corner in corners):
        raise RoundoverError(
            f"{where}: {slopes.driver} hands over at {told}, as {whence}, and only "
            f"{hertz(float(frequency[0]))} to {hertz(float(frequency[-1]))} is predicted; change "
            "the corner, or frequencies.lowest and frequencies.highest"
        )
