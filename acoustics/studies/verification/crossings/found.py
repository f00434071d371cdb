"""How drivers hand over, told from whatever was read of them, held against the design."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import xarray as xr

from acoustics.case.text.phrases import listed
from acoustics.listening.error import NEPER
from acoustics.studies.verification.bench.answers import Bench
from acoustics.studies.verification.crossings.figures import (
    Handover,
    handover,
    handover_by_size,
    phase_by_sums,
    sum_against,
)
from acoustics.studies.verification.crossings.sides import (
    Crossover,
    Sides,
    alone,
    crossovers_of,
    designed,
    in_time,
    on_common,
    same_place,
)
from acoustics.studies.verification.healthy.aligned import Aligned
from acoustics.studies.verification.readings.readings import COVERED

DRIVERS, REVERSED, SUM, NOTHING = "each driver alone", "sum and reversed sum", "sum", "nothing"
"""What a crossover was told from."""


@dataclass(frozen=True)
class Found:
    """What was found of a crossover at one place.

    `told_from` is one of the kinds above; `measured` and `designed` hold the same figures of the
    same place, NaN where they cannot be told. `doubt` (degrees) is how far a phase may be off,
    95 %. `missing` (dB) is the sum's level through the overlap below the design's, weighted as in
    `Pair.weight`, `missing_doubt` (dB) how far that may be off. `tell` says which reading would
    tell more.
    """

    crossover: Crossover
    told_from: str
    readings: tuple[str, ...]
    measured: Handover
    designed: Handover
    doubt: float
    missing: float
    missing_doubt: float
    tell: str


def crossovers_found(bench: Bench, prediction: xr.Dataset, aligned: Aligned) -> tuple[Found, ...]:
    """What the readings say of every crossover of the design.

    Args:
        bench: the readings, and what they would be of any build.
        prediction: of the design, as `predict` makes it.
        aligned: the design set right on that bench.

    Returns:
        For each crossover, from the lowest up, one for each place and way of telling; one that
        knows nothing where there is no reading that could tell.
    """
    return tuple(
        found
        for each in crossovers_of(prediction)
        for found in (tuple(_of(bench, aligned, each)) or (_nothing(each),))
    )


def _of(bench: Bench, aligned: Aligned, each: Crossover) -> Iterator[Found]:
    yield from _from_drivers(bench, aligned, each)
    reversed_sums = list(_from_reversed(bench, aligned, each))
    yield from reversed_sums
    told = {name for found in reversed_sums for name in found.readings}
    for n, reading in enumerate(bench.readings.responses):
        if set(reading.playing) == each.both and not reading.reversed and reading.name not in told:
            yield _from_sum(bench, aligned, each, n)


def _from_drivers(bench: Bench, aligned: Aligned, each: Crossover) -> Iterator[Found]:
    places = set[tuple[float, float, float]]()
    for sides in alone(bench, each):
        responses = [bench.readings.responses[n] for n in sides.readings]
        if responses[0].place in places:
            continue
        places.add(responses[0].place)
        parts = [designed(bench, aligned.built, each, n, sides.frequency) for n in sides.readings]
        wanted = Sides(sides.frequency, parts[0].lower, parts[1].upper, 0.0, sides.readings)
        phase = np.iscomplexobj(sides.lower)
        figures = handover if phase else handover_by_size
        yield Found(
            each,
            DRIVERS,
            tuple(reading.name for reading in responses),
            figures(sides, each.frequency, wanted),
            handover(wanted, each.frequency, wanted),
            _phase_doubt(bench, each, sides) if phase else float("nan"),
            float("nan"),
            float("nan"),
            ""
            if phase
            else "the same with phase, both from one clock, tells the phase between "
            f"{each.lower_driver} and {each.upper_driver}",
        )


def _from_reversed(bench: Bench, aligned: Aligned, each: Crossover) -> Iterator[Found]:
    """From sums with one side of the crossover reversed, next to those as built if there are any.

    With phase, half the sum of both is the lower side and half the difference the upper one.
    """
    responses = bench.readings.responses
    for n, turned in enumerate(responses):
        if set(turned.playing) != each.both or set(turned.reversed) not in (each.upper, each.lower):
            continue
        sums = [
            m
            for m, other in enumerate(responses)
            if set(other.playing) == each.both and not other.reversed and same_place(turned, other)
        ]
        sums.sort(key=lambda m: not in_time(turned, responses[m]))
        which = (sums[0], n) if sums else (n,)
        frequency, values = on_common(bench, which)
        wanted = designed(bench, aligned.built, each, n, frequency)
        doubt = turned.uncertainty
        if sums and in_time(turned, responses[sums[0]]):
            built, flipped = values
            if set(turned.reversed) == each.lower:
                flipped = -flipped
            sides = Sides(frequency, (built + flipped) / 2, (built - flipped) / 2, doubt, which)
            measured = handover(sides, each.frequency, wanted)
            phase = _phase_doubt(bench, each, sides)
        else:
            loud = aligned.built.gain + aligned.levels[n]
            built = values[0] if sums else wanted.lower + wanted.upper
            lacking = not sums
            flipped = values[-1] * (10 ** (-loud / 20) if lacking else 1.0)
            built = built * (10 ** (-aligned.built.gain / 20) if lacking else 1.0)
            measured = phase_by_sums(
                frequency, np.abs(built), np.abs(flipped), each.frequency, wanted
            )
            phase = float("nan")
        yield Found(
            each,
            REVERSED,
            tuple(responses[m].name for m in which),
            measured,
            handover(wanted, each.frequency, wanted),
            phase,
            float("nan"),
            float("nan"),
            ""
            if sums
            else "the sum as built at the same place tells how deep the null is; here it is held "
            "against the sum as predicted",
        )


def _from_sum(bench: Bench, aligned: Aligned, each: Crossover, n: int) -> Found:
    reading = bench.readings.responses[n]
    frequency = bench.frequencies.responses[n]
    wanted = designed(bench, aligned.built, each, n, frequency)
    loud = 10 ** (aligned.levels[n] / 20)
    missing, counted = sum_against(
        wanted, np.abs(bench.measured.responses[n]) / loud, each.frequency
    )
    rows = aligned.rows[n]
    spread = aligned.healthy.deviation[rows.level]
    drivers = bench.design.case.drivers
    overlap = float(np.sqrt(np.average(spread**2, weights=counted))) if counted.any() else 0.0
    return Found(
        each,
        SUM,
        (reading.name,),
        Handover.unknown(),
        handover(wanted, each.frequency, wanted),
        float("nan"),
        missing,
        COVERED * overlap / NEPER,
        f"the same with the {listed([drivers[m].name for m in sorted(each.upper)])} connected "
        "the wrong way round tells whether they are in step",
    )


def _nothing(each: Crossover) -> Found:
    nan = float("nan")
    return Found(
        each,
        NOTHING,
        (),
        Handover.unknown(),
        Handover.unknown(),
        nan,
        nan,
        nan,
        f"read {each.lower_driver} and {each.upper_driver} each alone, from one place and one "
        "clock, or all together as built and with what plays above reversed",
    )


def _phase_doubt(bench: Bench, each: Crossover, sides: Sides) -> float:
    """How far the phase at the crossover may be off, degrees, 95 %: noise and microphone.

    A microphone that stands off changes the ways to both drivers unequally, by how far their
    directions differ.
    """
    place = np.array(bench.readings.responses[sides.readings[0]].place)
    directions = []
    for name in (each.lower_driver, each.upper_driver):
        way = place - (*bench.design.case.driver(name).position, 0.0)
        directions.append(way / np.linalg.norm(way))
    apart = float(np.linalg.norm(directions[0] - directions[1]))
    waves = each.frequency / bench.design.case.air.speed_of_sound
    moved = 360.0 * waves * apart * bench.readings.microphone
    own = COVERED * np.degrees(np.sqrt(2) * sides.uncertainty * NEPER)
    return float(np.hypot(moved, own))
