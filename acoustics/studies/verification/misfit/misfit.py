"""Predictions held against readings in units of what may be off: white where the build is right.

With phase a value is two numbers: what is predicted, turned back by the measured phase, along it
and across it. So errors of level and of phase, equally large and alike over a fraction of an
octave, stay apart. Without phase it is its size. All are relative to the local size of what was
measured, so weights are the same for every build and nulls do not blow up. The error of the
prediction is a Gaussian process over octaves with the Matérn covariance of order 3/2 (Rasmussen &
Williams, Gaussian Processes for Machine Learning, 2006, eq. 4.17; from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import scipy.linalg as sl

from acoustics.listening.error import NEPER
from acoustics.studies.verification.misfit.allowances import Allowances
from acoustics.studies.verification.misfit.model_error import matern
from acoustics.studies.verification.misfit.points import Points


@dataclass(frozen=True, eq=False)
class Block:
    """Numbers whose errors have to do with each other: one part of one reading.

    `at` are their points, `across` whether they are across the measured phase, `white` what makes
    them white (lower triangular).
    """

    at: slice
    across: bool
    white: np.ndarray


@dataclass(frozen=True, eq=False)
class Misfit:
    """What makes predictions comparable with the readings.

    Attributes:
        points: what is compared.
        measured: the readings, white, shape (number,).
        log_size: half the log determinant of the errors' covariance, and n/2·log 2π.
        blocks: in the order of the numbers.
    """

    points: Points
    measured: np.ndarray
    log_size: float
    blocks: tuple[Block, ...]

    @cached_property
    def turn(self) -> np.ndarray:
        """What turns predictions back by the measured phase, relative to the local size, (point,).

        Complex; 0 without phase.
        """
        points = self.points
        answer: np.ndarray = np.exp(-1j * np.angle(points.measured)) / points.scale
        return np.where(points.phased, answer, 0.0)

    def white(self, predicted: np.ndarray) -> np.ndarray:
        """Predictions (…, point) as white numbers (…, number)."""
        relative = self._relative(predicted)
        return self._joined(relative.real, relative.imag)

    def white_change(self, predicted: np.ndarray, relative: np.ndarray) -> np.ndarray:
        """What small relative changes do to `white`.

        Args:
            predicted: shape (…, point).
            relative: of each of these, shape (change, point).

        Returns:
            Shape (…, change, number).
        """
        here = self._relative(predicted)[..., None, :]
        along = here.real * relative.real - here.imag * relative.imag
        across = here.real * relative.imag + here.imag * relative.real
        return self._joined(along, across)

    def per_reading(self, rest: np.ndarray) -> list[tuple[float, int]]:
        """Sum of squares of white numbers of every reading, and how many there are."""
        found: dict[int, tuple[float, int]] = {}
        start = 0
        for block in self.blocks:
            stop = start + block.white.shape[0]
            reading = int(self.points.reading[block.at.start])
            before, count = found.get(reading, (0.0, 0))
            part = rest[start:stop]
            found[reading] = (before + float(part @ part), count + part.size)
            start = stop
        return [found[number] for number in sorted(found)]

    def _relative(self, predicted: np.ndarray) -> np.ndarray:
        """Predictions turned back and sized; those without phase are their size, (…, point)."""
        points = self.points
        answer = predicted * self.turn
        if not points.phased.all():
            answer = np.where(points.phased, answer, np.abs(predicted) / points.scale)
        return answer

    def _joined(self, along: np.ndarray, across: np.ndarray) -> np.ndarray:
        answer = np.empty((*along.shape[:-1], sum(b.white.shape[0] for b in self.blocks)))
        start = 0
        for block in self.blocks:
            stop = start + block.white.shape[0]
            part = across if block.across else along
            np.matmul(part[..., block.at], block.white.T, out=answer[..., start:stop])
            start = stop
        return answer


def misfit_of(points: Points, allowances: Allowances, unknown: int | None = None) -> Misfit:
    """The misfit on some points; with an unknown deviation of so many dB (and its share) in it.

    Args:
        points: what is compared.
        allowances: how far predictions may be off.
        unknown: number of the size in `allowances.unknown`, None for none.
    """
    blocks: list[Block] = []
    log_size = 0.0
    for span in points.spans():
        covariance = _covariance(points, span, allowances, unknown)
        lower = np.linalg.cholesky(covariance)
        white = sl.solve_triangular(lower, np.eye(len(lower)), lower=True)
        parts = (False, True) if points.phased[span.start] else (False,)
        for across in parts:
            blocks.append(Block(span, across, white))
            log_size += float(np.log(np.diag(lower)).sum())
            log_size += len(lower) / 2 * math.log(2 * math.pi)
    bare = Misfit(points, np.zeros(0), log_size, tuple(blocks))
    return Misfit(points, bare.white(points.measured), log_size, tuple(blocks))


def _covariance(
    points: Points, span: slice, allowances: Allowances, unknown: int | None
) -> np.ndarray:
    octaves = np.log2(points.frequency[span])
    here = np.abs(points.measured[span]) / points.scale[span]
    model = here * points.model[span]
    answer: np.ndarray = np.outer(model, model) * matern(octaves, allowances.octaves)
    answer[np.diag_indices_from(answer)] += points.noise[span] ** 2
    if unknown is not None:
        size = (
            allowances.unknown[unknown] * NEPER
            if points.acoustic[span.start]
            else allowances.unknown_impedance[unknown]
        )
        lengths = allowances.unknown_octaves
        answer += size**2 * sum(matern(octaves, each) for each in lengths) / len(lengths)
    return answer
