"""Which crossovers a fit tries: shapes for each driver, and which drivers are turned round."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from acoustics.case.design.fit_model import Fit
from acoustics.case.design.model import Case, Driver
from acoustics.case.design.section_model import PassFilter
from acoustics.case.design.topology import Topology, topology_of
from acoustics.case.text.phrases import listed
from acoustics.conventions import RoundoverError
from acoustics.studies.crossover_fit.scene import Scene

MOST = 160
"""candidates: more are thinned out by leaving out the ones with the most parts"""

PEAK = 1.3
"""An impedance that rises by less than this has no resonance to speak of"""

FROM_RESONANCE, KNOWN = 2.0, 1.5
"""A driver plays down to this many times its resonance (common practice, no source); the second
where its displacement and the amplifier are stated, so that what it stands is reckoned with."""

LOWEST = (
    "low-pass 1 + compensation",
    "low-pass 2",
    "low-pass 2 + damping",
    "low-pass 2 + compensation",
    "low-pass 3",
    "low-pass 3 + compensation",
)
MIDDLE = (
    "high-pass 1 + low-pass 1 + resistor",
    "high-pass 2 + low-pass 2 + resistor",
    "high-pass 2 + low-pass 2 + attenuator",
)
HIGHEST = (
    "high-pass 2 + resistor",
    "high-pass 2 + attenuator",
    "high-pass 3 + resistor",
    "high-pass 3 + attenuator",
)
"""Shapes that are tried where the case names none: what builders use (common practice)."""


@dataclass(frozen=True)
class Candidate:
    """A shape for every driver from the lowest on, and whether its polarity is turned round."""

    shapes: tuple[Topology, ...]
    turned: tuple[bool, ...]

    @property
    def parts(self) -> int:
        """How many parts it takes."""
        return sum(shape.parts for shape in self.shapes)

    def in_words(self, drivers: Sequence[str]) -> str:
        """What it is, for people."""
        return "; ".join(
            f"{driver}: {shape.name}{' (inverted)' if turned else ''}"
            for driver, shape, turned in zip(drivers, self.shapes, self.turned, strict=True)
        )


def candidates_of(case: Case, scene: Scene, fit: Fit) -> tuple[Candidate, ...]:
    """Every crossover that is tried, in a fixed order, those with the fewest parts first.

    The lowest driver keeps its polarity, unless others have amplifiers of their own: turning all
    drivers changes nothing.

    Raises:
        RoundoverError: all have more parts than are allowed, shapes are named for a driver that
            does not hang on the passive crossover, or two drivers are alike.
    """
    asked = dict(fit.topologies)
    if own := [name for name in asked if name not in scene.names]:
        raise RoundoverError(
            f"{case.path or case.title}: fit.topologies.{own[0]}: {own[0]} has an amplifier and a "
            "filter of its own (electrical slopes), so no passive shape is tried for it; leave it "
            f'out, or give [crossover.{own[0]}] slopes = "passive" and parts = []'
        )
    refuse_alike(case, [name for name in scene.names if name not in asked])
    roles = _roles(case, scene)
    shapes = [
        asked.get(name, tuple(topology_of(words) for words in usual))
        for name, usual in zip(scene.names, roles, strict=True)
    ]
    among_others = scene.begins is not None or scene.ends is not None
    first = (False, True) if among_others else (False,)
    ways = list(itertools.product(first, *[(False, True)] * (len(scene.names) - 1)))
    every = [Candidate(chosen, way) for chosen in itertools.product(*shapes) for way in ways]
    fitting = sorted((c for c in every if c.parts <= fit.most_parts), key=lambda c: c.parts)
    if not fitting:
        least = min(candidate.parts for candidate in every)
        raise RoundoverError(
            f"{case.path or case.title}: fit.most_parts is {fit.most_parts}, and the smallest of "
            f"the crossovers to try has {least} parts; allow more, or name smaller shapes in "
            "fit.topologies"
        )
    return tuple(fitting[:MOST])


def _alike(one: Driver, other: Driver) -> bool:
    """Of one model, or with the same data, wherever they sit and whatever each was measured to."""
    if one.model and one.model == other.model:
        return True
    bare = (
        replace(each, name="", position=(0.0, 0.0), impedance=None, measured=None)
        for each in (one, other)
    )
    return next(bare) == next(bare)


def refuse_alike(case: Case, names: Sequence[str]) -> None:
    """Two drivers that are alike: which of them hands over to the other nobody can tell.

    Raises:
        RoundoverError: there are such.
    """
    for one, other in itertools.combinations(names, 2):
        if _alike(case.driver(one), case.driver(other)):
            raise RoundoverError(
                f"{case.path or case.title}: {one} and {other} are alike, and a fit gives each "
                "driver of the passive crossover a band of its own, so one would hand over to the "
                "other; write the parts of both by hand and look at them with --as-is, or name "
                "shapes for both in fit.topologies (for --start, slopes with sections)"
            )


def _roles(case: Case, scene: Scene) -> Iterator[tuple[str, ...]]:
    """The usual shapes of every driver, by what plays below and above it, active or not."""
    last = len(scene.names) - 1
    sections = () if case.amplifier is None else case.amplifier.sections
    done = any(isinstance(each, PassFilter) and each.low_corner is not None for each in sections)
    for n in range(last + 1):
        below = n > 0 or scene.begins is not None
        above = n < last or scene.ends is not None
        if n == 0 and above and done:
            below = False  # a high-pass before the amplifier keeps the bass from all of them
        yield (MIDDLE if above else HIGHEST) if below else LOWEST


def spans_of(case: Case, scene: Scene, fit: Fit) -> tuple[tuple[float, float], ...]:
    """Where each driver may hand over to the next, Hz: as asked, or taken from the drivers.

    From above the upper driver's resonance to where the lower one's piston is no longer to be
    trusted. Where that leaves less than an octave, an octave about the middle of both.

    Raises:
        RoundoverError: the case names some spans, and not one for each crossover.
    """
    if len(fit.crossovers) == len(scene.names) - 1:
        return fit.crossovers
    if fit.crossovers:
        raise RoundoverError(
            f"{case.path or case.title}: fit.crossovers: there "
            f"{'is 1 span' if len(fit.crossovers) == 1 else f'are {len(fit.crossovers)} spans'}, "
            f"and the crossovers between drivers on the passive one ({listed(scene.names)}) are "
            f"{len(scene.names) - 1}; write one span for each, from the lowest on, or leave the "
            "key out"
        )
    return tuple(_span(case, scene, lower) for lower in range(len(scene.names) - 1))


def _span(case: Case, scene: Scene, lower: int) -> tuple[float, float]:
    """Where a driver may hand over to the next, from what both are."""
    high = case.driver(scene.names[lower]).trusted_to(case.air.speed_of_sound)
    stated = case.amplifier is not None and case.amplifier.voltage is not None
    moves = case.driver(scene.names[lower + 1]).most_displacement
    resonance = _resonance(scene, lower + 1, high)
    times = KNOWN if stated and moves is not None else FROM_RESONANCE
    low = high / 2 if resonance is None else times * resonance
    if high < 2 * low:
        middle = np.sqrt(low * high)
        low, high = min(low, middle / np.sqrt(2)), max(low, middle * np.sqrt(2))
    return float(low), float(high)


def _resonance(scene: Scene, driver: int, below: float) -> float | None:
    """Where a driver resonates in what is behind it, Hz; None where its impedance has no peak."""
    low = scene.frequency < below
    size = 1 / np.abs(scene.admittance[driver, driver][low])
    if size.size == 0 or size.max() < PEAK * size.min():
        return None
    return float(scene.frequency[low][np.argmax(size)])


def corners_of(
    spans: Sequence[tuple[float, float]], begins: float | None, ends: float | None
) -> Iterator[tuple[float, float]]:
    """Corners of each driver's high-pass and low-pass to begin with, Hz.

    `begins` and `ends` (Hz) are those of the first and the last, where others play beside them.
    """
    middles = [float(np.sqrt(low * high)) for low, high in spans]
    for lower, upper in zip([begins, *middles], [*middles, ends], strict=True):
        yield lower or upper or 1000.0, upper or lower or 1000.0
