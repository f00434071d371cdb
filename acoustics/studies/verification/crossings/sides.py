"""What plays below and above each crossover, as it was read and as it was designed, at one place.

The design's sides at any place are told by its bench with the other drivers silent.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import xarray as xr

from acoustics.listening.crossovers import crossovers
from acoustics.listening.sides import upper_sides
from acoustics.studies.verification.bench.answers import Bench
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.readings.readings import ResponseReading

SILENT = -300.0
"""dB by which a driver is turned down that shall not play"""

NEAR = 0.005
"""m: readings this close were made at one place"""

ALIKE = 1e-6
"""relative: frequencies this close are one"""


@dataclass(frozen=True)
class Crossover:
    """A crossover of the design: its name, Hz, names of two drivers, numbers on either side."""

    name: str
    frequency: float
    lower_driver: str
    upper_driver: str
    lower: frozenset[int]
    upper: frozenset[int]

    @property
    def both(self) -> frozenset[int]:
        """All drivers."""
        return self.lower | self.upper


@dataclass(frozen=True, eq=False)
class Sides:
    """Both sides of a crossover at a place, over frequency (Hz); as built where `how` says so.

    `lower` and `upper` are complex, or sizes without phase; `uncertainty` (dB) of each value.
    `readings` are the numbers of those they come from.
    """

    frequency: np.ndarray
    lower: np.ndarray
    upper: np.ndarray
    uncertainty: float
    readings: tuple[int, ...]


def crossovers_of(prediction: xr.Dataset) -> tuple[Crossover, ...]:
    """The acoustic crossovers of a design, from the lowest up.

    Args:
        prediction: as `predict` makes it.
    """
    found, above = crossovers(prediction), upper_sides(prediction).values
    return tuple(
        Crossover(
            str(found.crossover.values[i]),
            float(found.crossover_frequency[i]),
            str(found.lower_driver.values[i]),
            str(found.upper_driver.values[i]),
            frozenset(np.flatnonzero(~above[i]).tolist()),
            frozenset(np.flatnonzero(above[i]).tolist()),
        )
        for i in range(found.crossover.size)
    )


def alone(bench: Bench, sides: Crossover) -> Iterator[Sides]:
    """Both sides as they were read each by itself, at every place where both were.

    Those with phase on one clock first. What was reversed for the reading is turned back.
    """
    responses = bench.readings.responses
    pairs = [
        (low, up)
        for low in range(len(responses))
        for up in range(len(responses))
        if _is(responses[low], sides.lower, sides.lower_driver, bench)
        and _is(responses[up], sides.upper, sides.upper_driver, bench)
        and same_place(responses[low], responses[up])
    ]
    together = [pair for pair in pairs if in_time(*(responses[n] for n in pair))]
    for low, up in [*together, *(pair for pair in pairs if pair not in together)]:
        phase = (low, up) in together
        frequency, values = on_common(bench, (low, up))
        values = [v * turned(responses[n]) for v, n in zip(values, (low, up), strict=True)]
        lower, upper = values if phase else [np.abs(v) for v in values]
        doubt = max(responses[low].uncertainty, responses[up].uncertainty)
        yield Sides(frequency, lower, upper, doubt, (low, up))


def designed(
    bench: Bench, about: Built, sides: Crossover, reading: int, frequency: np.ndarray
) -> Sides:
    """Both sides of a build where a reading of all drivers or of some was made, as built.

    Args:
        bench: where it stands.
        about: the design, with the microphone where it was.
        sides: the crossover.
        reading: number of a response; of its drivers those on either side are taken.
        frequency: Hz, some of those at which it is compared.
    """
    response = bench.readings.responses[reading]
    at = positions(bench.frequencies.responses[reading], frequency)
    parts = []
    for own in (sides.lower, sides.upper):
        levels = tuple(
            (about.levels[n] if about.levels else 0.0) + (0.0 if n in own else SILENT)
            for n in range(len(about.case.drivers))
        )
        heard = bench.answers(replace(about, levels=levels)).responses[reading]
        sign = -1.0 if own & set(response.reversed) else 1.0
        parts.append(sign * heard[at])
    return Sides(frequency, parts[0], parts[1], 0.0, (reading,))


def positions(frequency: np.ndarray, asked: np.ndarray) -> np.ndarray:
    """Where frequencies (Hz) stand among others, (asked,)."""
    found = np.searchsorted(frequency, asked * (1 - ALIKE))
    answer: np.ndarray = np.minimum(found, frequency.size - 1)
    return answer


def on_common(bench: Bench, which: Sequence[int]) -> tuple[np.ndarray, list[np.ndarray]]:
    """Frequencies (Hz) at which some responses are all compared, and what was read there."""
    grids = [bench.frequencies.responses[n] for n in which]
    common = grids[0]
    for grid in grids[1:]:
        hit = grid[positions(grid, common)]
        common = common[np.abs(hit / common - 1) < ALIKE]
    values = [bench.measured.responses[n] for n in which]
    return common, [v[positions(g, common)] for v, g in zip(values, grids, strict=True)]


def same_place(one: ResponseReading, other: ResponseReading) -> bool:
    """Whether two readings were made where the other was."""
    return float(np.linalg.norm(np.subtract(one.place, other.place))) < NEAR


def in_time(one: ResponseReading, other: ResponseReading) -> bool:
    """Whether the phase between two readings says anything."""
    return one.has_phase and other.has_phase and one.clock != "" and one.clock == other.clock


def turned(reading: ResponseReading) -> float:
    """−1 where all that plays was connected the wrong way round on purpose, else 1."""
    return -1.0 if set(reading.playing) <= set(reading.reversed) else 1.0


def _is(reading: ResponseReading, side: frozenset[int], driver: str, bench: Bench) -> bool:
    """Whether a reading is of one side alone, with its driver next to the crossover."""
    playing = set(reading.playing)
    names = {bench.design.case.drivers[n].name for n in playing}
    whole = not playing & set(reading.reversed) or turned(reading) < 0
    return playing <= side and driver in names and whole
