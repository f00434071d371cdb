"""All values of all readings one after the other, as logarithms: levels and phases as reals."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from acoustics.listening.error import NEPER
from acoustics.studies.verification.bench.answers import Answers, Bench
from acoustics.studies.verification.misfit.points import in_a_row
from acoustics.studies.verification.readings.readings import ImpedanceReading, ResponseReading
from acoustics.studies.verification.strays.strayed import log_ratio

Reading = ResponseReading | ImpedanceReading


@dataclass(frozen=True, eq=False)
class Rows:
    """Where one reading stands in a stack: its levels, and its phases where it has any."""

    reading: Reading
    frequency: np.ndarray
    level: slice
    phase: slice | None

    @property
    def is_response(self) -> bool:
        """Whether it was heard; else it is an impedance."""
        return isinstance(self.reading, ResponseReading)

    @property
    def parts(self) -> tuple[slice, ...]:
        """Levels, then phases if there are any."""
        return (self.level,) if self.phase is None else (self.level, self.phase)


def rows_of(bench: Bench) -> tuple[Rows, ...]:
    """Of the responses, then of the impedances, in the order of the readings."""
    readings: tuple[Reading, ...] = (*bench.readings.responses, *bench.readings.impedances)
    rows, start = [], 0
    for reading, frequency in zip(readings, _all(bench.frequencies), strict=True):
        level = slice(start, start + frequency.size)
        phase = slice(level.stop, level.stop + frequency.size) if reading.has_phase else None
        rows.append(Rows(reading, frequency, level, phase))
        start = (phase or level).stop
    return tuple(rows)


def size_of(rows: Sequence[Rows]) -> int:
    """How many values a stack has."""
    return rows[-1].parts[-1].stop if rows else 0


def stacked(rows: Sequence[Rows], upper: Answers, lower: Answers) -> np.ndarray:
    """Logarithm of one set of answers over another: nepers, and radians from −π to π, (value,)."""
    return laid_out(rows, log_ratio(in_a_row(upper), in_a_row(lower), np.inf))


def laid_out(rows: Sequence[Rows], logarithm: np.ndarray) -> np.ndarray:
    """Complex logarithms in a row (point,) as a stack (value,)."""
    answer, start = np.zeros(size_of(rows)), 0
    for row in rows:
        own = logarithm[start : start + row.frequency.size]
        answer[row.level] = own.real
        if row.phase is not None:
            answer[row.phase] = own.imag
        start += row.frequency.size
    return answer


def noise_of(rows: Sequence[Rows]) -> np.ndarray:
    """What each value is uncertain by itself, one standard deviation, nepers or radians, (value,).

    Raises:
        ValueError: a reading says that it has no uncertainty.
    """
    answer = np.zeros(size_of(rows))
    for row in rows:
        own = row.reading.uncertainty * (NEPER if row.is_response else 1.0)
        if not own > 0:
            raise ValueError(f"{row.reading.name} has no uncertainty")
        for part in row.parts:
            answer[part] = own
    return answer


def _all(answers: Answers) -> tuple[np.ndarray, ...]:
    return (*answers.responses, *answers.impedances)
