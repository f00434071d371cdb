"""What is set right before a finished loudspeaker is compared: level, delays, microphone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from acoustics.listening.error import NEPER
from acoustics.studies.verification.bench.answers import Answers, Bench
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.misfit.coarse_delay import coarse_delay
from acoustics.studies.verification.readings.readings import COVERED, ResponseReading
from acoustics.studies.verification.strays.stacked import Rows, size_of, stacked

ANY_LEVEL = 20.0
"""dB, one standard deviation: nothing is known of the level of a reading without calibration"""

ANY_DELAY = 1e-3
"""s, likewise of what the coarse search leaves of a delay"""


@dataclass(frozen=True, eq=False)
class Freedom:
    """One thing to set.

    Attributes:
        name, unit: of it.
        deviation: what is known of it beforehand, one standard deviation.
        start: its value before anything is fitted.
        readings: numbers of the responses that it moves by itself; empty for all of them.
        axis: of a microphone, 0 to 2; else None.
    """

    name: str
    unit: str
    deviation: float
    start: float = 0.0
    readings: tuple[int, ...] = ()
    axis: int | None = None

    @property
    def is_stated(self) -> bool:
        """Whether it was stated how far it may be off."""
        return not self.readings

    def column(self, rows: Sequence[Rows]) -> np.ndarray:
        """Change of every value per standard deviation, (value,); 0 of a microphone."""
        answer = np.zeros(size_of(rows))
        if self.axis is not None:
            return answer
        for n, row in enumerate(rows):
            if not row.is_response or (self.readings and n not in self.readings):
                continue
            if self.unit == "dB":
                answer[row.level] = NEPER * self.deviation
            elif row.phase is not None:
                answer[row.phase] = -2 * np.pi * row.frequency * self.deviation
        return answer


@dataclass(frozen=True)
class Settings:
    """A design with microphone and gain set, and every response's own level (dB) and delay (s)."""

    built: Built
    levels: tuple[float, ...]
    delays: tuple[float, ...]

    def shifted(self, bench: Bench, answers: Answers) -> Answers:
        """Answers with each response's own level and delay."""
        turned = tuple(
            each * 10 ** (level / 20) * np.exp(-2j * np.pi * frequency * delay)
            for each, frequency, level, delay in zip(
                answers.responses,
                bench.frequencies.responses,
                self.levels,
                self.delays,
                strict=True,
            )
        )
        return replace(answers, responses=turned)


def freedoms_of(bench: Bench, rows: Sequence[Rows], start: Answers) -> tuple[Freedom, ...]:
    """All there is to set on a bench, begun by a coarse search of levels and delays.

    Args:
        bench: what was measured.
        rows: of its readings.
        start: what they would be of the design.
    """
    return (
        *_levels(bench, rows, start),
        *_delays(bench, start),
        *_microphone(bench),
    )


def settings(bench: Bench, ways: Sequence[Freedom], found: np.ndarray) -> Settings:
    """What is so set.

    Args:
        bench: where.
        ways: what is free.
        found: how far each is off its start, in its standard deviations, (freedom,).
    """
    count = len(bench.readings.responses)
    levels, delays = [0.0] * count, [0.0] * count
    microphone, gain = list(bench.design.microphone), bench.design.gain
    for way, off in zip(ways, found, strict=True):
        value = way.start + float(off) * way.deviation
        if way.axis is not None:
            microphone[way.axis] += value
        elif not way.readings:
            gain += value
        for n in way.readings:
            (delays if way.unit == "s" else levels)[n] = value
    right, up, away = microphone
    built = replace(bench.design, microphone=(right, up, away), gain=gain)
    return Settings(built, tuple(levels), tuple(delays))


def clocks_of(responses: Sequence[ResponseReading]) -> dict[str, tuple[int, ...]]:
    """The responses with phase that share one delay, by the clock or, without one, the reading."""
    answer: dict[str, tuple[int, ...]] = {}
    for n, reading in enumerate(responses):
        if reading.has_phase:
            name = f"clock {reading.clock}" if reading.clock else reading.name
            answer[name] = (*answer.get(name, ()), n)
    return answer


def _levels(bench: Bench, rows: Sequence[Rows], start: Answers) -> Iterator[Freedom]:
    """Of all levels what the calibration leaves; each without calibration begins at its median."""
    readings = bench.readings
    if not readings.responses:
        return
    if readings.level > 0:
        yield Freedom("level", "dB", readings.level / COVERED)
    above = stacked(rows, bench.measured, start)
    for n, reading in enumerate(readings.responses):
        if not reading.calibrated:
            middle = float(np.median(above[rows[n].level])) / NEPER
            yield Freedom(f"level of {reading.name}", "dB", ANY_LEVEL, middle, (n,))


def _delays(bench: Bench, start: Answers) -> Iterator[Freedom]:
    for name, together in clocks_of(bench.readings.responses).items():
        late = coarse_delay(
            [bench.frequencies.responses[n] for n in together],
            [bench.measured.responses[n] / start.responses[n] for n in together],
        )
        yield Freedom(f"delay of {name}", "s", ANY_DELAY, late, together)


def _microphone(bench: Bench) -> Iterator[Freedom]:
    if bench.readings.responses and bench.readings.microphone > 0:
        deviation = bench.readings.microphone / COVERED
        for axis, way in enumerate(("to the right", "higher", "farther away")):
            yield Freedom(f"microphone {way}", "m", deviation, axis=axis)
