"""Figures of two sides of a crossover: with phase, from sizes alone, or from their sums."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from acoustics.listening.overlap import DEEPEST, Pair, overlap_of, pair_of
from acoustics.listening.phase_tracking import tracking
from acoustics.listening.reverse_null import LEAST_DEPTH, null_of, verdict_on
from acoustics.studies.verification.crossings.sides import Sides

DOWN = 6.0
"""dB below its pass band at which a side's slope has its corner"""

PASS = (1.0, 2.0)
"""octaves from the crossover between which a side's pass band is taken (common practice)"""


@dataclass(frozen=True)
class Handover:
    """How two sides hand over; every figure NaN where it cannot be told.

    `crossing` (Hz) is where both are equally loud; `phase` (degrees, −180 to 180) there, of the
    upper relative to the lower, and `phase_size` (0 to 180), which sums tell without its sign; over
    the overlap `rms_phase` (degree) and `loss` (dB, most that the sum lies below that in phase).
    `delay` (s) by which the upper comes later, from the slope of the phase; `late` (s) by which it
    comes later than designed, from all of the phase. `null`, `depth`, `change`, `built_depth` as in
    `reverse_null.Null`. Of each side its corner (Hz, `DOWN` below its pass band) and its level in
    the pass band above the design's (dB).
    """

    crossing: float
    phase: float
    phase_size: float
    rms_phase: float
    loss: float
    delay: float
    late: float
    null: float
    depth: float
    change: float
    built_depth: float
    lower_corner: float
    upper_corner: float
    lower_level: float
    upper_level: float

    @classmethod
    def unknown(cls, **known: float) -> Handover:
        """What is told, and nothing else."""
        return cls(**{field.name: known.get(field.name, float("nan")) for field in fields(cls)})

    @property
    def verdict(self) -> str:
        """A key of `reverse_null.VERDICTS`."""
        return verdict_on(self.depth, self.built_depth)


def handover(sides: Sides, crossover: float, wanted: Sides) -> Handover:
    """Every figure of two sides with phase.

    Args:
        sides: as read.
        crossover: Hz, about where they hand over.
        wanted: the design's at the same place and frequencies.
    """
    frequency = sides.frequency
    if frequency.size < 2:
        return Handover.unknown()
    found = tracking(frequency, sides.lower, sides.upper, crossover)
    null = null_of(frequency, sides.lower, sides.upper, crossover)
    sizes = handover_by_size(sides, crossover, wanted)
    pair = pair_of(frequency, sides.lower, sides.upper)
    phase = float("nan")
    if np.isfinite(sizes.crossing):
        phase = float(pair.at(np.array([sizes.crossing])).phase[0])
    return Handover(
        crossing=sizes.crossing,
        phase=phase,
        phase_size=abs(phase),
        rms_phase=found.rms_phase,
        loss=found.largest_loss,
        delay=found.delay,
        late=_late(pair, pair_of(frequency, wanted.lower, wanted.upper), crossover),
        null=null.frequency,
        depth=null.depth,
        change=null.change,
        built_depth=null.built_depth,
        lower_corner=sizes.lower_corner,
        upper_corner=sizes.upper_corner,
        lower_level=sizes.lower_level,
        upper_level=sizes.upper_level,
    )


def handover_by_size(sides: Sides, crossover: float, wanted: Sides) -> Handover:
    """Corners, levels and where both are equally loud, which need no phase. Args of `handover`."""
    frequency = sides.frequency
    if frequency.size < 2:
        return Handover.unknown()
    low, up = np.abs(sides.lower), np.abs(sides.upper)
    return Handover.unknown(
        crossing=_crossing(frequency, _decibels(up / low), crossover),
        lower_corner=_corner(frequency, low, crossover, -1),
        upper_corner=_corner(frequency, up, crossover, 1),
        lower_level=_pass_level(frequency, low, crossover, -1)
        - _pass_level(frequency, np.abs(wanted.lower), crossover, -1),
        upper_level=_pass_level(frequency, up, crossover, 1)
        - _pass_level(frequency, np.abs(wanted.upper), crossover, 1),
    )


def phase_by_sums(
    frequency: np.ndarray,
    built: np.ndarray,
    flipped: np.ndarray,
    crossover: float,
    wanted: Sides,
) -> Handover:
    """What the sizes of a sum and of that with one side reversed tell.

    |a + b|² + |a − b|² = 2·(|a|² + |b|²), the parallelogram's law, and where |a| = |b| that is
    (|a| + |b|)²: the depth of a null follows, and the phase with |a − b|/|a + b| = tan(φ/2). Where
    the two are not equally loud the depth is told up to 3 dB too deep, by (|a| − |b|)².

    Args:
        frequency: Hz, (frequency,).
        built: size of the sum as built, any unit, likewise.
        flipped: of that with one side reversed, in the same unit.
        crossover: Hz.
        wanted: the design's sides, which say where both overlap.
    """
    overlap = overlap_of(pair_of(frequency, wanted.lower, wanted.upper), crossover)
    if overlap is None:
        return Handover.unknown()
    inside = (frequency >= overlap.frequency[0]) & (frequency <= overlap.frequency[-1])
    if not inside.any():
        return Handover.unknown()
    both = built**2 + flipped**2
    down, as_built = (
        np.minimum(10 * np.log10(both / np.maximum(each**2, both * 1e-12)), DEEPEST)
        for each in (flipped, built)
    )
    deepest = int(np.argmax(np.where(inside, down, -np.inf)))
    near = int(np.argmin(np.abs(np.log(frequency / crossover))))
    return Handover.unknown(
        phase_size=2 * float(np.degrees(np.arctan2(flipped[near], built[near]))),
        null=float(frequency[deepest]) if down[deepest] >= LEAST_DEPTH else float("nan"),
        depth=float(down[deepest]),
        change=float(_decibels(built[deepest] / flipped[deepest])),
        built_depth=float(as_built[inside].max()),
    )


def sum_against(wanted: Sides, measured: np.ndarray, crossover: float) -> tuple[float, np.ndarray]:
    """How far a sum lies below the design's through the overlap, dB, and what each value counts.

    Weighted as the phase counts in the sum. NaN where the sides do not overlap.
    """
    pair = pair_of(wanted.frequency, wanted.lower, wanted.upper)
    overlap = overlap_of(pair, crossover)
    counted = np.zeros(wanted.frequency.size)
    if overlap is None:
        return float("nan"), counted
    low, high = overlap.frequency[[0, -1]]
    inside = (wanted.frequency >= low) & (wanted.frequency <= high)
    counted[inside] = pair.weight[inside]
    if not counted.any():
        return float("nan"), counted
    below = _decibels(np.abs(wanted.lower + wanted.upper) / measured)
    return float(np.average(below, weights=counted)), counted


def _late(read: Pair, wanted: Pair, crossover: float) -> float:
    """Delay (s) of the upper side against the design's, from the phase; polarity left out.

    Least squares of −2πfτ to what the phases between the sides differ, over the design's overlap.
    """
    overlap = overlap_of(wanted, crossover)
    if overlap is None:
        return float("nan")
    inside = (read.frequency >= overlap.frequency[0]) & (read.frequency <= overlap.frequency[-1])
    if np.count_nonzero(inside) < 2:
        return float("nan")
    turned = np.unwrap(np.radians((read.phase - wanted.phase)[inside]))
    omega, weight = 2 * np.pi * read.frequency[inside], wanted.weight[inside]
    middle = np.average(turned, weights=weight)
    turned = turned - np.pi * np.round(middle / np.pi)
    return float(-np.sum(weight * omega * turned) / np.sum(weight * omega**2))


def _crossing(frequency: np.ndarray, apart: np.ndarray, crossover: float) -> float:
    """Where the upper overtakes the lower, nearest to the crossover, Hz."""
    x = np.log2(frequency)
    change = np.flatnonzero((apart[:-1] < 0) & (apart[1:] >= 0))
    if not change.size:
        return float("nan")
    at = x[change] - apart[change] * np.diff(x)[change] / np.diff(apart)[change]
    return float(2 ** at[np.argmin(np.abs(at - np.log2(crossover)))])


def _pass_level(frequency: np.ndarray, size: np.ndarray, crossover: float, way: int) -> float:
    """Mean level in the pass band below (−1) or above (1) a crossover, dB re 1; NaN if not read."""
    away = way * np.log2(frequency / crossover)
    inside = (away >= PASS[0]) & (away <= PASS[1])
    return float(np.mean(_decibels(size[inside]))) if inside.any() else float("nan")


def _corner(frequency: np.ndarray, size: np.ndarray, crossover: float, way: int) -> float:
    """Where a side lies `DOWN` below its pass band, coming from there, Hz."""
    below = _pass_level(frequency, size, crossover, way) - DOWN - _decibels(size)
    order = slice(None, None, -way)
    x, y = np.log2(frequency)[order], below[order]
    beyond = way * (x - np.log2(crossover)) <= PASS[0]
    x, y = x[beyond], y[beyond]
    change = np.flatnonzero((y[:-1] < 0) & (y[1:] >= 0))
    if not change.size:
        return float("nan")
    first = int(change[0])
    part = -y[first] / (y[first + 1] - y[first])
    return float(2 ** (x[first] + part * (x[first + 1] - x[first])))


def _decibels(size: np.ndarray) -> np.ndarray:
    answer: np.ndarray = 20 * np.log10(np.maximum(size, np.finfo(float).tiny))
    return answer
