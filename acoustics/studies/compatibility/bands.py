"""Whether drivers have room on both sides of their crossover."""

from __future__ import annotations

import math
from collections.abc import Iterator

from acoustics.case.design.model import Case
from acoustics.source.motion import Motion
from acoustics.studies.compatibility.line import Line, Verdict, at_least, worst
from acoustics.studies.compatibility.ways import Ways

OVERLAP = 1.0
"""octaves: how far a driver should be usable beyond its crossover."""

MARGIN, SHALLOW_MARGIN = 1.0, 2.0
"""octaves: how far the upper driver's resonance should lie below; with shallow slopes."""

SHALLOW = 2
"""Order of slopes up to which they count as shallow."""

SHORT = 0.5
"""octave: by which a margin may fall short at a second look"""


def overlap_lines(case: Case, motion: Motion, ways: Ways) -> Iterator[Line]:
    """How far both drivers of a pair are usable beyond their crossover, in octaves.

    The lower one to its breakup or the ka up to which it is a piston, the upper one to its
    resonance.
    """
    for pair in ways.pairs:
        lower, upper = case.drivers[pair.lower], case.drivers[pair.upper]
        limit = lower.trusted_to(case.air.speed_of_sound)
        resonance = resonance_of(case, motion, pair.upper)
        above = math.log2(limit / pair.frequency)
        below = math.log2(pair.frequency / resonance)
        yield Line(
            "overlap",
            (lower.name, upper.name),
            {
                "frequency": pair.frequency,
                "above": above,
                "below": below,
                "limit": limit,
                "resonance": resonance,
                "octaves": above if math.isnan(below) else min(above, below),
            },
            worst(at_least(octaves, OVERLAP, 0.0) for octaves in (above, below)),
            missing=_resonance_key(upper.name, resonance),
        )


def resonance_lines(case: Case, motion: Motion, ways: Ways) -> Iterator[Line]:
    """How far the upper driver's resonance, in its box, lies below the crossover."""
    done = set()
    for pair in ways.pairs:
        if pair.upper in done:
            continue
        done.add(pair.upper)
        driver = case.drivers[pair.upper]
        order = ways.bands[pair.upper].low_order
        wanted = SHALLOW_MARGIN if order <= SHALLOW else MARGIN
        resonance = resonance_of(case, motion, pair.upper)
        octaves = math.log2(pair.frequency / resonance)
        verdict: Verdict = at_least(octaves, wanted, wanted - SHORT)
        yield Line(
            "resonance",
            (driver.name,),
            {
                "frequency": pair.frequency,
                "resonance": resonance,
                "octaves": octaves,
                "wanted": wanted,
                "order": float(order),
            },
            verdict,
            missing=_resonance_key(driver.name, resonance),
        )


def resonance_of(case: Case, motion: Motion, number: int) -> float:
    """A driver's resonance in its box, Hz; by itself where no enclosure is stated; NaN if unknown.

    In a closed box that of the box; in others as if it were closed: f_S √(1 + V_AS/V).
    """
    driver = case.drivers[number]
    if driver.small_signal is None:
        return math.nan
    signal = driver.small_signal
    home = next((each for each in case.enclosures if driver.name in each.drivers), None)
    if home is None:
        return signal.resonance
    if home.kind == "closed":
        return motion.tuning[home.name]
    return signal.resonance * math.sqrt(1 + signal.equivalent_volume(case.air) / home.volume)


def _resonance_key(name: str, resonance: float) -> tuple[str, ...]:
    return (f"drivers.{name}.small_signal",) if math.isnan(resonance) else ()
