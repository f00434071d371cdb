"""What a worker does for a study of tolerances: some builds in, their curves and figures out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.conventions import RoundoverError
from acoustics.field.blas import one_blas_thread
from acoustics.studies.reasons import reason_of
from acoustics.studies.tolerance.makings import Makings, built, exact_solver
from acoustics.studies.tolerance.record import Taken, Told, curves_of, figures_of, taken

COMPARED = ("arc_total", "seat_total", "height_total")
"""What a check compares."""

NULL = 20.0
"""dB below the loudest: fainter levels are not compared, as the field solver's own error is not."""

FEWER = 4
"""One of so many frequencies is solved exactly."""


@dataclass(frozen=True)
class Question:
    """What all builds of a study share."""

    makings: Makings
    told: Told


@dataclass(frozen=True)
class Task:
    """Standardised draws (build, spread) of some builds to compute, or of one to check."""

    draws: np.ndarray
    check: bool = False


@dataclass(frozen=True)
class Done:
    """Some builds: curves (build, …) and figures (build, figure), NaN where a build failed.

    `reasons` say why it did, empty where it did not.
    """

    curves: Mapping[str, np.ndarray]
    figures: np.ndarray
    reasons: tuple[str, ...]


def work_on(asked: tuple[Question, Task]) -> Done:
    """Do a task, in whichever process."""
    question, task = asked
    with one_blas_thread():
        return checked(question, task.draws) if task.check else computed(question, task.draws)


def computed(question: Question, draws: np.ndarray) -> Done:
    """Compute some builds, of which the draws (build, spread) are given."""
    figures = np.full((len(draws), question.told.figures), np.nan)
    curves: list[dict[str, np.ndarray] | None] = []
    reasons, taken_of = [], dict[int, Taken]()
    for number, each in enumerate(draws):
        found, reason = None, ""
        try:
            prediction = built(question.makings, each)
            taken_of[number] = taken(question.told, prediction)
            found = curves_of(question.told, prediction)
        except RoundoverError as error:
            reason = reason_of(error)
        curves.append(found)
        reasons.append(reason)
    if taken_of:
        frequency = question.makings.case.frequencies.values()
        figures[list(taken_of)] = figures_of(question.told, frequency, list(taken_of.values()))
    sound = next((one for one in curves if one is not None), {})
    return Done(
        {
            name: _stacked([one[name] if one else None for one in curves], sound[name])
            for name in sound
        },
        figures,
        tuple(reasons),
    )


def checked(question: Question, draws: np.ndarray) -> Done:
    """Solve the field of a build exactly, and tell how far the levels told of it are off.

    At a quarter of the frequencies, which takes a third of the time.

    Returns:
        The largest difference of levels within `NULL` of the loudest of their kind (arcs, seats,
        heights) at that frequency, dB, as the only figure; NaN where the build cannot be.
    """
    makings = question.makings
    few, fine = _coarse(makings.case), makings.case.frequencies.values()
    grid = few.frequencies.values()
    at = np.argmin(np.abs(np.log(fine[:, None] / grid)), axis=0)
    fixed = makings.fixed and makings.fixed.at(at)
    try:
        near = built(makings, draws[0]).isel(frequency=at)
        exact = built(
            replace(makings, case=few, fixed=fixed), draws[0], exact_solver(makings.solve, 1)
        )
    except RoundoverError as error:
        return Done({}, np.array([[np.nan]]), (reason_of(error),))
    off = [level_difference(near[name], exact[name]) for name in COMPARED]
    return Done({}, np.array([[max(off)]]), ("",))


def level_difference(near: xr.DataArray, exact: xr.DataArray) -> float:
    """Largest difference of levels, dB, but for nulls: what `checked` tells."""
    one, other = (np.abs(each.transpose("frequency", ...).values) for each in (near, exact))
    one, other = (each.reshape(each.shape[0], -1) for each in (one, other))
    counts = other >= 10 ** (-NULL / 20) * np.nanmax(other, axis=1, keepdims=True)
    return float(np.abs(20 * np.log10(one[counts] / other[counts])).max())


def _coarse(case: Case) -> Case:
    grid = case.frequencies
    if grid.per_octave % FEWER:
        return case
    return replace(case, frequencies=replace(grid, per_octave=grid.per_octave // FEWER))


def _stacked(rows: list[np.ndarray | None], like: np.ndarray) -> np.ndarray:
    return np.stack([np.full_like(like, np.nan) if row is None else row for row in rows])
