"""Level, delay and microphone set right, so that only what the loudspeaker does is compared."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from acoustics.studies.verification.bench.answers import Answers, Bench
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.healthy.errors import errors_of
from acoustics.studies.verification.healthy.freedoms import Freedom, freedoms_of, settings
from acoustics.studies.verification.healthy.healthy import Healthy
from acoustics.studies.verification.healthy.tangent import set_columns, tangent_of
from acoustics.studies.verification.misfit.allowances import USUAL, Allowances
from acoustics.studies.verification.misfit.points import in_a_row
from acoustics.studies.verification.strays.stacked import Rows, rows_of, stacked
from acoustics.studies.verification.strays.strayed import strayed
from acoustics.studies.verification.strays.strays import Stray

TRUSTED = 3.0
"""standard deviations beyond which a value counts less, so that a fault does not pull"""

FIRST_STEPS, MOST_STEPS = 4, 20

SETTLED = 1e-2
"""standard deviations: a step this small is the last"""

MOVED = 0.1
"""standard deviations of the microphone's place beyond which what moving it does is read anew"""

TURNED = np.pi / 4
"""radians: how well a phase must be known before it counts, twice that being a quarter-turn"""

SURPRISING = 2.5
"""stated standard deviations: what is found farther off is said (common practice, no source)"""


@dataclass(frozen=True)
class Unknown:
    """Something that the alignment found.

    Attributes:
        name, unit: of it; SI, levels in dB.
        value: what was found, and its standard `deviation`.
        stated: standard deviation that was stated beforehand, None if nothing was.
    """

    name: str
    value: float
    deviation: float
    unit: str
    stated: float | None = None

    @property
    def words(self) -> str:
        """What to know where it lies outside what is stated of it, else nothing."""
        if self.stated is None or abs(self.value) <= SURPRISING * self.stated:
            return ""
        if self.unit == "dB":
            way = "high" if self.value > 0 else "low"
            return (
                f"Levels seem to be read {abs(self.value):.1f} dB too {way}: outside what is "
                "stated of the calibration."
            )
        way = self.name.removeprefix("microphone ")
        if self.value < 0:
            way = OPPOSITE[way]
        return (
            f"The microphone seems to have stood {abs(self.value) * 1000:.0f} mm {way}: outside "
            "what is stated."
        )


OPPOSITE = {"to the right": "to the left", "higher": "lower", "farther away": "nearer"}


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

    @property
    def words(self) -> tuple[str, ...]:
        """What lies outside what is stated of it, a sentence each."""
        return tuple(each.words for each in self.unknowns if each.words)


def align(bench: Bench, strays: Sequence[Stray], allowances: Allowances = USUAL) -> Aligned:
    """Set level, delays and microphone so that the design comes closest to what was measured.

    Generalised least squares with normal priors, by Gauss–Newton from a coarse search of the
    delays. What strays among healthy builds is fitted along and then left in, so that it does not
    pull; what the prediction may be off by is alike over octaves. Phases count modulo half a turn:
    a driver connected the wrong way round moves nothing. Values farther off than a healthy build's
    would be count less, by (3σ/r)⁴, level and phase together.

    Args:
        bench: what was measured, and of which design.
        strays: what differs among healthy builds; those of microphone and level are set right here
            and not taken twice.
        allowances: how far the prediction may be off.

    Returns:
        The design so aligned, and what is left.
    """
    rows = rows_of(bench)
    errors = errors_of(rows, bench.design.case, allowances)
    strays = [stray for stray in strays if _of_build(bench.design, stray)]
    ways = freedoms_of(bench, rows, bench.answers(bench.design))
    count = len(ways)
    place = [n for n, way in enumerate(ways) if way.axis is not None]
    unset = [n for n, way in enumerate(ways) if way.is_stated]
    found = np.zeros(count + len(strays))
    known = np.diag([float(way.axis is not None) for way in ways] + [1.0] * len(strays))
    columns, looked = np.zeros((errors.size, found.size)), found
    for number in range(MOST_STEPS):
        now = settings(bench, ways, found[:count])
        shares = found[count:]
        built = strayed(now.built, strays, shares)
        there = bench.answers(built)
        row = in_a_row(there)
        if number in (0, FIRST_STEPS):
            columns[:, count:] = tangent_of(bench, rows, built, strays, shares, row)
        if number in (0, FIRST_STEPS) or np.abs(found - looked)[place].max(initial=0.0) > MOVED:
            columns[:, :count] = set_columns(bench, rows, ways, built, row)
            looked = found
        rest = _half_turns(rows, stacked(rows, bench.measured, now.shifted(bench, there)))
        spread = errors.deviation**2 + (columns[:, count:] ** 2).sum(axis=1)
        if number < FIRST_STEPS:  # what is not yet set right is no fault
            spread = spread + (columns[:, unset] ** 2).sum(axis=1)
        trust = _trust(rows, rest / np.sqrt(spread)) * _told(rows, columns, known)
        weighed = trust[:, None] * errors.precise(trust[:, None] * columns)
        known = np.linalg.inv(columns.T @ weighed + np.eye(found.size))
        step = known @ (weighed.T @ rest - found)
        found = found + step
        if number > FIRST_STEPS and np.abs(step).max(initial=0.0) < SETTLED:
            break
    now = settings(bench, ways, found[:count])
    predicted = now.shifted(bench, bench.answers(now.built))
    return Aligned(
        now.built,
        now.levels,
        now.delays,
        _unknowns(ways, found, np.sqrt(np.diag(known))),
        rows,
        predicted,
        stacked(rows, bench.measured, predicted),
        Healthy(columns, errors, count, (known @ weighed.T)[:count]),
    )


def _unknowns(ways: Sequence[Freedom], found: np.ndarray, doubt: np.ndarray) -> tuple[Unknown, ...]:
    return tuple(
        Unknown(
            way.name,
            way.start + float(off) * way.deviation,
            float(wide) * way.deviation,
            way.unit,
            way.deviation if way.is_stated else None,
        )
        for way, off, wide in zip(ways, found, doubt, strict=False)
    )


def _of_build(design: Built, stray: Stray) -> bool:
    """Whether the loudspeaker strays, and not only how it is measured."""
    other = stray.changed(design, 1.0)
    same = other.case is design.case and other.levels == design.levels
    return not (same and other.delays == design.delays)


def _trust(rows: Sequence[Rows], away: np.ndarray) -> np.ndarray:
    """Share by which values count that are off by standard deviations, 0 to 1, (value,)."""
    answer = (TRUSTED / np.maximum(np.abs(away), TRUSTED)) ** 2
    for row in rows:
        if row.phase is not None:
            answer[row.level] = answer[row.phase] = np.minimum(answer[row.level], answer[row.phase])
    return answer


def _told(rows: Sequence[Rows], columns: np.ndarray, known: np.ndarray) -> np.ndarray:
    """1 at values that say where they are, 0 at phases that may be half-turns off, (value,).

    A microphone that stood off turns high frequencies many times: the low ones tell how far it did
    before the high ones count. Those of a reading's lowest octave always do.

    Args:
        rows: of the readings.
        columns: change of every value per unknown, (value, unknown).
        known: covariance of the unknowns so far.
    """
    vague = np.sqrt(np.einsum("vu,uw,vw->v", columns, known, columns, optimize=True))
    answer = np.ones(vague.shape)
    for row in rows:
        if row.is_response and row.phase is not None:
            low = row.frequency <= 2 * row.frequency[0]
            answer[row.phase] = (vague[row.phase] < TURNED) | low
    return answer


def _half_turns(rows: Sequence[Rows], stack: np.ndarray) -> np.ndarray:
    """A stack with its phases of responses brought to −π/2 to π/2 by half-turns."""
    answer = stack.copy()
    for row in rows:
        if row.is_response and row.phase is not None:
            answer[row.phase] -= np.pi * np.round(answer[row.phase] / np.pi)
    return answer
