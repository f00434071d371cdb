"""What strays in every build and every measurement, without being a fault."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from typing import Literal

from acoustics.case.design.model import Case
from acoustics.case.design.tolerance_model import Kind
from acoustics.case.objects.spreads import part_spreads
from acoustics.case.objects.usual_tolerance import LEVEL, PARAMETERS
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.readings.readings import COVERED, Readings
from acoustics.studies.verification.strays.scaled import (
    scaled_enclosure,
    scaled_parameter,
    scaled_part,
    scaled_port,
)

PART = 0.02
"""Standard deviation of a part of the crossover, a share: of those sold within 5 %, most are within
half of that (common practice, no source)."""

COIL = {"dc_resistance": 0.03 / COVERED, "voice_coil": 0.05 / COVERED}
"""Standard deviations, shares, of what a case's [tolerance] may not name and every impedance shows
(common practice, no source)."""

VOLUME = PORT = 0.01
"""Standard deviations of a volume and of a port's length, shares: walls are sawn to a millimetre,
but wires, glue and damping take what nobody counts (common practice, no source)."""

WAYS = ("right", "up", "away")
"""in which a microphone may stand off"""

LOSSES = math.log(1.2)
"""Standard deviation of the logarithm of a Q of losses: leaks and damping are guesses before they
are measured (common practice, no source)."""


Part = Literal["crossover", "drivers", "enclosures"]
"""of a case"""


@dataclass(frozen=True)
class Stray:
    """One thing that strays by itself.

    Attributes:
        name: in words, distinct.
        spread: one standard deviation: m for the microphone, dB for levels, and of the value's
            logarithm, near enough a share of it, for all else.
        changed: what stands on the bench if it strays by so many standard deviations from what it
            is there: what faults have changed before stays so.
        of: the part of the case that it changes, and all it looks at; None for what is no part of
            the case.
    """

    name: str
    spread: float
    changed: Callable[[Built, float], Built]
    of: Part | None = None


def strays_of(design: Built, readings: Readings) -> tuple[Stray, ...]:
    """All that strays of a design and of how it was measured.

    What the case says in [tolerance] of parts, levels and parameters of drivers holds; else the
    usual. A driver's level strays by itself only where it has no small-signal parameters, or where
    it was measured: with parameters the force factor, the mass and the coil's resistance make its
    level, woofer or tweeter, and both together would count the same thing twice. Of a measured
    driver the sample that was measured may be another than the one that is built in.

    Args:
        design: what should stand there.
        readings: how far the microphone and the calibration may be off.
    """
    case = design.case
    return (
        *_of_measuring(readings),
        *_of_parts(case),
        *_of_drivers(case),
        *_of_enclosures(case),
    )


def microphone_stray(axis: int, spread: float) -> Stray:
    """A microphone that stands off along an axis, 0 to 2, by a standard deviation (m)."""
    return Stray(f"microphone {WAYS[axis]}", spread, partial(_microphone, axis, spread))


def _of_measuring(readings: Readings) -> Iterator[Stray]:
    for axis in range(len(WAYS)):
        yield microphone_stray(axis, readings.microphone / COVERED)
    spread = readings.level / COVERED
    yield Stray("level calibration", spread, partial(_gain, spread))


def _of_parts(case: Case) -> Iterator[Stray]:
    """Every component by itself, as `part_spreads` has them."""
    stated = _stated(case, "part")
    branches = [branch.driver for branch in case.crossover]
    for part in part_spreads(case, PART, "normal"):
        (key,) = part.keys
        spread = stated.get(key, PART)
        _, driver, _, number, what = key.rsplit(".", 4)
        # Faults may lead a branch to another driver, so it is told by its number.
        change = partial(scaled_part, branches.index(driver), int(number) - 1, what)
        yield _by_factor("crossover", part.name, spread, change)


def _of_drivers(case: Case) -> Iterator[Stray]:
    stated = _stated(case, "driver parameter")
    levels = _stated(case, "level")
    usual = {name: within / COVERED for name, within in PARAMETERS.items()}
    for number, driver in enumerate(case.drivers):
        if driver.small_signal is not None:
            own = {
                key.rsplit(".", 1)[1]: spread
                for key, spread in stated.items()
                if key.rsplit(".", 1)[0] == driver.name
            }
            for parameter, spread in {**COIL, **(own if stated else usual)}.items():
                yield _by_factor(
                    "drivers",
                    f"{driver.name} {parameter.replace('_', ' ')}",
                    spread,
                    partial(scaled_parameter, number, parameter),
                )
        if driver.small_signal is None or driver.measured is not None:
            spread = levels.get(driver.name, LEVEL / COVERED)
            count = len(case.drivers)
            yield Stray(f"{driver.name} level", spread, partial(_level, number, count, spread))


def _of_enclosures(case: Case) -> Iterator[Stray]:
    for number, enclosure in enumerate(case.enclosures):
        what = {"volume": VOLUME}
        what |= {
            name: LOSSES
            for name in ("leakage_q", "absorption_q", "port_q")
            if math.isfinite(getattr(enclosure, name)) and (name != "port_q" or enclosure.ports)
        }
        for name, spread in what.items():
            words = f"{enclosure.name} {name.replace('_q', ' Q')}"
            yield _by_factor("enclosures", words, spread, partial(scaled_enclosure, number, name))
        for row, port in enumerate(enclosure.ports):
            words = f"{enclosure.name} port {port.name} length"
            yield _by_factor("enclosures", words, PORT, partial(scaled_port, number, row))


def _stated(case: Case, kind: Kind) -> dict[str, float]:
    """Standard deviations that a case states of one kind, by their keys.

    All that lies within ±w alike likely has w/√3 (JCGM 100:2008, 4.3.7); what `within` holds 95 %
    of otherwise, w/1.96.
    """
    if case.tolerance is None or case.tolerance.usual:
        return {}
    return {
        key: spread.within / (math.sqrt(3) if spread.shape == "uniform" else COVERED)
        for spread in case.tolerance.spreads
        if spread.kind == kind
        for key in spread.keys
    }


def _by_factor(
    of: Part, name: str, spread: float, change: Callable[[Built, float], Built]
) -> Stray:
    """What strays by equal factors either way, so that it stays positive however far it strays."""
    return Stray(name, spread, partial(_scaled, change, spread), of)


def _scaled(
    change: Callable[[Built, float], Built], spread: float, built: Built, t: float
) -> Built:
    return change(built, math.exp(spread * t))


def _microphone(axis: int, spread: float, built: Built, t: float) -> Built:
    right, up, away = (
        each + (spread * t if axis == number else 0.0)
        for number, each in enumerate(built.microphone)
    )
    return replace(built, microphone=(right, up, away))


def _gain(spread: float, built: Built, t: float) -> Built:
    return replace(built, gain=built.gain + spread * t)


def _level(number: int, count: int, spread: float, built: Built, t: float) -> Built:
    levels = list(built.levels or (0.0,) * count)
    levels[number] += spread * t
    return replace(built, levels=tuple(levels))
