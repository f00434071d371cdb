"""Level, delay and microphone set right, so that only what the loudspeaker does is compared."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np

from acoustics.listening.error import NEPER
from acoustics.studies.verification.answers import Answers, Bench
from acoustics.studies.verification.built import Built
from acoustics.studies.verification.coarse_delay import coarse_delay
from acoustics.studies.verification.healthy import Healthy
from acoustics.studies.verification.readings import ResponseReading
from acoustics.studies.verification.stacked import Rows, noise_of, rows_of, stacked

COVERED = 1.96
"""standard deviations within which 95 % of normal values lie"""

ANY_LEVEL = 20.0
"""dB, one standard deviation: nothing is known of the level of a reading without calibration"""

ANY_DELAY = 1e-3
"""s, likewise of what the coarse search leaves of a delay"""

TRUSTED = 3.0
"""standard deviations beyond which a value counts less, so that a fault does not pull"""

NEAR = 0.3
"""standard deviations of the microphone's place over which differences are taken"""

FIRST_STEPS, MOST_STEPS = 4, 20

SETTLED = 1e-3
"""standard deviations: a step this small is the last"""


class Stray(Protocol):
    """Something that differs a little from one healthy build to the next."""

    @property
    def name(self) -> str:
        """What it is."""
        ...

    @property
    def changed(self) -> Callable[[Built, float], Built]:
        """What stands on the bench with it off by a number of standard deviations."""
        ...


@dataclass(frozen=True)
class Unknown:
    """Something that the alignment found: value, standard deviation, unit (SI, levels in dB)."""

    name: str
    value: float
    deviation: float
    unit: str


@dataclass(frozen=True, eq=False)
class Aligned:
    """The design where and how it was measured.

    Attributes:
        built: the design with microphone and gain as found.
        levels: dB that each response reads too high beside that; 0 where it was calibrated.
        delays: s by which each response came later than predicted; 0 without phase.
        unknowns: all that was set, with how well it is known.
        rows: where each reading stands in the stacks.
        predicted: what the readings would be of the design so.
        left: measured over predicted, nepers and radians, stacked, (value,).
        healthy: what to expect of that.
    """

    built: Built
    levels: tuple[float, ...]
    delays: tuple[float, ...]
    unknowns: tuple[Unknown, ...]
    rows: tuple[Rows, ...]
    predicted: Answers
    left: np.ndarray
    healthy: Healthy


@dataclass(frozen=True, eq=False)
class _Freedom:
    """One thing to set, in its standard deviations: which rows it moves, and how far."""

    name: str
    unit: str
    deviation: float
    column: np.ndarray
    moves: tuple[int, ...] = ()


def align(bench: Bench, strays: Sequence[Stray]) -> Aligned:
    """Set level, delays and microphone so that the design comes closest to what was measured.

    Weighted least squares with normal priors, by Gauss–Newton from a coarse search of the delays.
    What strays among healthy builds is fitted along and then left in, so that it does not pull.
    Phases count modulo half a turn: a driver connected the wrong way round moves nothing. Values
    farther off than a healthy build's would be count less, by (3σ/r)⁴, level and phase together.

    Args:
        bench: what was measured, and of which design.
        strays: what differs among healthy builds; those of microphone and level are set right here
            and not taken twice.

    Returns:
        The design so aligned, and what is left.
    """
    rows, noise = rows_of(bench), noise_of(rows_of(bench))
    strays = [stray for stray in strays if _of_build(bench.design, stray)]
    start = bench.answers(bench.design)
    tangent = tangent_of(bench, rows, bench.design, start, strays)
    ways = _freedoms(bench, rows, start)
    count = len(ways)
    delays = _coarse(bench, rows, start)
    levels = _coarse_levels(bench, rows, start)
    deviation = np.sqrt(noise**2 + (tangent**2).sum(axis=1))
    found = np.zeros(count + tangent.shape[1])
    for number in range(MOST_STEPS):
        built, own, late = _set(bench.design, ways, found[:count], levels, delays)
        for stray, size in zip(strays, found[count:], strict=True):
            built = stray.changed(built, float(size))
        there = bench.answers(built)
        if number == FIRST_STEPS:
            tangent = tangent_of(bench, rows, built, there, strays)
        columns = np.column_stack([*_microphones(bench, rows, ways, built, there), tangent])
        left = stacked(rows, bench.measured, _shifted(bench, there, own, late))
        rest = _half_turns(rows, left)
        if number < FIRST_STEPS:  # what is not yet set right is no fault
            unset = [way.unit != "s" and not way.name.startswith("level of") for way in ways]
            begun = np.sqrt(deviation**2 + (columns[:, :count][:, unset] ** 2).sum(axis=1))
        else:
            begun = deviation
        weight = (_trust(rows, rest / begun) / noise) ** 2
        normal = (columns.T * weight) @ columns + np.eye(found.size)
        step = np.linalg.solve(normal, columns.T @ (weight * rest) - found)
        found = found + step
        if number >= FIRST_STEPS and np.abs(step).max() < SETTLED:
            break
    built, own, late = _set(bench.design, ways, found[:count], levels, delays)
    predicted = _shifted(bench, bench.answers(built), own, late)
    doubt = np.sqrt(np.diag(np.linalg.inv(normal)))
    estimator = np.linalg.solve(normal, columns.T * weight)[:count]
    starts = [_start(way, levels, delays) for way in ways]
    return Aligned(
        built,
        own,
        late,
        tuple(
            Unknown(w.name, s + f * w.deviation, d * w.deviation, w.unit)
            for w, s, f, d in zip(ways, starts, found, doubt, strict=False)
        ),
        rows,
        predicted,
        stacked(rows, bench.measured, predicted),
        Healthy(columns, noise, count, estimator),
    )


def _of_build(design: Built, stray: Stray) -> bool:
    """Whether the loudspeaker strays, and not only how it is measured."""
    other = stray.changed(design, 1.0)
    same = other.case is design.case and other.levels == design.levels
    return not (same and other.delays == design.delays)


def tangent_of(
    bench: Bench, rows: Sequence[Rows], about: Built, there: Answers, strays: Sequence[Stray]
) -> np.ndarray:
    """Change of every value per standard deviation of each stray, (value, stray).

    Central differences a standard deviation to either side of a build, of which the readings would
    be `there`.
    """
    answer = np.zeros((noise_of(rows).size, len(strays)))
    for n, stray in enumerate(strays):
        more, less = (
            stacked(rows, bench.answers(stray.changed(about, size)), there) for size in (1.0, -1.0)
        )
        answer[:, n] = (more - less) / 2
    return answer


def _freedoms(bench: Bench, rows: Sequence[Rows], start: Answers) -> list[_Freedom]:
    readings = bench.readings
    heard = [n for n, row in enumerate(rows) if row.is_response]
    ways = []
    if heard and readings.level > 0:
        deviation = readings.level / COVERED
        column = _levels_of(rows, heard) * NEPER * deviation
        ways.append(_Freedom("level", "dB", deviation, column))
    for n in heard:
        if not readings.responses[n].calibrated:
            column = _levels_of(rows, [n]) * NEPER * ANY_LEVEL
            name = f"level of {readings.responses[n].name}"
            ways.append(_Freedom(name, "dB", ANY_LEVEL, column, (n,)))
    for name, together in clocks_of(readings.responses).items():
        column = np.zeros(noise_of(rows).size)
        for n in together:
            column[rows[n].phase] = -2 * np.pi * rows[n].frequency * ANY_DELAY
        ways.append(_Freedom(f"delay of {name}", "s", ANY_DELAY, column, together))
    if heard and readings.microphone > 0:
        deviation = readings.microphone / COVERED
        ways += [
            _Freedom(f"microphone {way}", "m", deviation, np.zeros(noise_of(rows).size), (axis,))
            for axis, way in enumerate(("to the right", "higher", "farther away"))
        ]
    return ways


def _microphones(
    bench: Bench, rows: Sequence[Rows], ways: Sequence[_Freedom], about: Built, start: Answers
) -> list[np.ndarray]:
    """The columns, those of the microphone's place taken anew where it is by now.

    Two drivers some way apart come into step and out of it over a few centimetres.
    """
    columns = []
    for way in ways:
        if way.unit != "m":
            columns.append(way.column)
            continue
        ends = []
        for sign in (1, -1):
            place = list(about.microphone)
            place[way.moves[0]] += sign * way.deviation * NEAR
            there = bench.answers(replace(about, microphone=(place[0], place[1], place[2])))
            ends.append(stacked(rows, there, start))
        columns.append((ends[0] - ends[1]) / (2 * NEAR))
    return columns


def clocks_of(responses: Sequence[ResponseReading]) -> dict[str, tuple[int, ...]]:
    """The responses with phase that share one delay, by the clock or, without one, the reading."""
    answer: dict[str, tuple[int, ...]] = {}
    for n, reading in enumerate(responses):
        if reading.has_phase:
            name = f"clock {reading.clock}" if reading.clock else reading.name
            answer[name] = (*answer.get(name, ()), n)
    return answer


def _coarse(bench: Bench, rows: Sequence[Rows], start: Answers) -> list[float]:
    """A first delay of every response, s."""
    answer = [0.0] * len(bench.readings.responses)
    for together in clocks_of(bench.readings.responses).values():
        late = coarse_delay(
            [rows[n].frequency for n in together],
            [bench.measured.responses[n] / start.responses[n] for n in together],
        )
        for n in together:
            answer[n] = late
    return answer


def _coarse_levels(bench: Bench, rows: Sequence[Rows], start: Answers) -> list[float]:
    """A first level (dB) of every response without calibration: the median above the design."""
    above = stacked(rows, bench.measured, start)
    return [
        0.0 if reading.calibrated else float(np.median(above[row.level])) / NEPER
        for reading, row in zip(bench.readings.responses, rows, strict=False)
    ]


def _set(
    design: Built,
    ways: Sequence[_Freedom],
    found: np.ndarray,
    levels: Sequence[float],
    delays: Sequence[float],
) -> tuple[Built, tuple[float, ...], tuple[float, ...]]:
    """The design with what was found, and every response's own level (dB) and delay (s)."""
    own, late, microphone, gain = list(levels), list(delays), list(design.microphone), design.gain
    for way, value in zip(
        ways, (float(f) * w.deviation for w, f in zip(ways, found, strict=True)), strict=True
    ):
        if way.name.startswith("microphone"):
            microphone[way.moves[0]] += value
        elif way.unit == "s":
            for n in way.moves:
                late[n] += value
        elif way.moves:
            own[way.moves[0]] += value
        else:
            gain += value
    built = replace(design, microphone=(microphone[0], microphone[1], microphone[2]), gain=gain)
    return built, tuple(own), tuple(late)


def _start(way: _Freedom, levels: Sequence[float], delays: Sequence[float]) -> float:
    if not way.moves or way.unit == "m":
        return 0.0
    return (delays if way.unit == "s" else levels)[way.moves[0]]


def _shifted(
    bench: Bench, answers: Answers, levels: Sequence[float], delays: Sequence[float]
) -> Answers:
    """Answers with each response's own level (dB) and delay (s)."""
    turned = tuple(
        each * 10 ** (level / 20) * np.exp(-2j * np.pi * frequency * delay)
        for each, frequency, level, delay in zip(
            answers.responses, bench.frequencies.responses, levels, delays, strict=True
        )
    )
    return replace(answers, responses=turned)


def _levels_of(rows: Sequence[Rows], which: Sequence[int]) -> np.ndarray:
    """1 at the levels of some readings, (value,)."""
    answer = np.zeros(noise_of(rows).size)
    for n in which:
        answer[rows[n].level] = 1.0
    return answer


def _trust(rows: Sequence[Rows], away: np.ndarray) -> np.ndarray:
    """Share by which values count that are off by standard deviations, 0 to 1, (value,)."""
    answer = (TRUSTED / np.maximum(np.abs(away), TRUSTED)) ** 2
    for row in rows:
        if row.phase is not None:
            answer[row.level] = answer[row.phase] = np.minimum(answer[row.level], answer[row.phase])
    return answer


def _half_turns(rows: Sequence[Rows], stack: np.ndarray) -> np.ndarray:
    """A stack with its phases of responses brought to −π/2 to π/2 by half-turns."""
    answer = stack.copy()
    for row in rows:
        if row.is_response and row.phase is not None:
            answer[row.phase] -= np.pi * np.round(answer[row.phase] / np.pi)
    return answer
