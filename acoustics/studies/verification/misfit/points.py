"""All values that are compared, in one row: measured, how far each may be off, what it shares."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from acoustics.listening.error import NEPER
from acoustics.studies.verification.bench.answers import Answers, Bench
from acoustics.studies.verification.misfit.allowances import Allowances
from acoustics.studies.verification.misfit.model_error import response_error

LEAST_NOISE = 1e-3
"""nepers; no reading is better, and covariances stay far from singular"""

SMOOTHED = 1 / 3
"""octaves over which sizes are averaged, so that a null weighs no more than what is about it"""

NONE = -1


@dataclass(frozen=True, eq=False)
class Points:
    """Readings' values in a row, responses before impedances, shape (point,) each.

    Attributes:
        frequency: Hz.
        measured: complex; real without phase.
        scale: local size of what was measured, to which errors are relative.
        phased: whether the phase counts.
        reading: number of the reading.
        clock: number of the unknown delay, NONE where there is none.
        group: number of the unknown level, NONE where it is calibrated or an impedance.
        noise: standard deviation of every value by itself, as a share of `scale`.
        model: that of the prediction, as a share of the value itself.
        acoustic: whether it is of a response.
    """

    frequency: np.ndarray
    measured: np.ndarray
    scale: np.ndarray
    phased: np.ndarray
    reading: np.ndarray
    clock: np.ndarray
    group: np.ndarray
    noise: np.ndarray
    model: np.ndarray
    acoustic: np.ndarray

    def spans(self) -> list[slice]:
        """Where each reading stands, in their order."""
        ends = np.flatnonzero(np.diff(self.reading)) + 1
        cuts = [0, *ends.tolist(), self.reading.size]
        return [slice(a, b) for a, b in pairwise(cuts)]

    def every(self, step: int) -> tuple[Points, np.ndarray]:
        """Every `step`-th value of each reading, and their places in the row."""
        kept = np.concatenate([np.arange(s.start, s.stop)[step // 2 :: step] for s in self.spans()])
        return Points(*(getattr(self, name)[kept] for name in self.__dataclass_fields__)), kept


def in_a_row(answers: Answers) -> np.ndarray:
    """All answers, shape (point,), complex."""
    return np.concatenate([*answers.responses, *answers.impedances]).astype(complex)


def as_answers(row: np.ndarray, like: Answers) -> Answers:
    """The other way round: a row (point,) as answers of the shapes of others."""
    sizes = [a.size for a in (*like.responses, *like.impedances)]
    parts = np.split(row, np.cumsum(sizes)[:-1])
    count = len(like.responses)
    return Answers(tuple(parts[:count]), tuple(parts[count:]))


def points_of(bench: Bench, allowances: Allowances, measured: Answers | None = None) -> Points:
    """What is compared on a bench: what was measured there, or what is given.

    Uncalibrated responses of one clock share a level, as nobody turned a knob between them.
    """
    readings, grid, case = bench.readings, bench.frequencies, bench.design.case
    measured_there = bench.measured if measured is None else measured
    clocks: dict[str, int] = {}
    groups: dict[str, int] = {}
    columns: list[tuple[np.ndarray, ...]] = []
    values = zip(readings.responses, grid.responses, measured_there.responses, strict=True)
    for number, (response, frequency, heard) in enumerate(values):
        own = response.clock or f"\n{number}"
        clock = clocks.setdefault(own, len(clocks)) if response.has_phase else NONE
        group = NONE if response.calibrated else groups.setdefault(own, len(groups))
        model = NEPER * response_error(response, case, frequency, allowances)
        scale = local_size(frequency, heard)
        noise = max(response.uncertainty * NEPER, LEAST_NOISE)
        columns.append(
            (
                *_column(frequency, heard, scale, response.has_phase, number, clock, group),
                np.full(frequency.shape, noise),
                model,
                np.ones(frequency.shape, bool),
            )
        )
    first = len(readings.responses)
    rest = zip(readings.impedances, grid.impedances, measured_there.impedances, strict=True)
    for number, (reading, frequency, seen) in enumerate(rest, start=first):
        noise = max(reading.uncertainty, LEAST_NOISE)
        columns.append(
            (
                *_column(frequency, seen, np.abs(seen), reading.has_phase, number, NONE, NONE),
                np.full(frequency.shape, noise),
                np.full(frequency.shape, allowances.impedance),
                np.zeros(frequency.shape, bool),
            )
        )
    return Points(*(np.concatenate(parts) for parts in zip(*columns, strict=True)))


def local_size(frequency: np.ndarray, measured: np.ndarray) -> np.ndarray:
    """Root mean square of what was measured within a third octave about each frequency."""
    power = np.abs(measured) ** 2
    octave = np.log2(frequency)
    near = np.abs(octave[:, None] - octave[None, :]) <= SMOOTHED / 2 + 1e-9
    size: np.ndarray = np.sqrt((near @ power) / near.sum(axis=1))
    return size


def _column(
    frequency: np.ndarray,
    measured: np.ndarray,
    scale: np.ndarray,
    phased: bool,
    reading: int,
    clock: int,
    group: int,
) -> tuple[np.ndarray, ...]:
    shape = frequency.shape
    return (
        np.asarray(frequency, float),
        np.asarray(measured if phased else np.abs(measured), complex),
        np.maximum(scale, np.finfo(float).tiny),
        np.full(shape, phased),
        np.full(shape, reading),
        np.full(shape, clock),
        np.full(shape, group),
    )
