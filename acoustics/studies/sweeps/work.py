"""What a worker does for a sweep: some points in, their numbers out."""

from __future__ import annotations

import time
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.case.varied import varied_case
from acoustics.conventions import SCHEMA, SOLVER, RoundoverError
from acoustics.field.blas import one_blas_thread
from acoustics.prediction import predict
from acoustics.prediction.fields import Solve
from acoustics.studies.reasons import reason_of
from acoustics.studies.remembered import Remembered
from acoustics.studies.sweeps.figures import count_of, figures_of

FIELDS = ("filter", "source", "arc_field", "seat_field", "arc_total", "seat_total")
"""Variables of a prediction that are kept where a sweep keeps fields."""

Shapes = dict[str, tuple[int, ...]]


@dataclass(frozen=True)
class Block:
    """Some points of a sweep, to be computed one after the other.

    `numbers` and `changes` are those of the points, `shapes` those of the fields to keep, `known`
    fields that are solved already; with `give_back` those at hand in the end are sent back. `solve`
    stands in for the field solver.
    """

    case: Case
    numbers: tuple[int, ...]
    changes: tuple[Mapping[str, float | int | str], ...]
    shapes: Shapes
    known: Mapping[str, xr.DataArray]
    give_back: bool
    solve: Solve | None = None


@dataclass(frozen=True)
class Done:
    """A block's answer.

    `figures` (point, figure), NaN where a point failed; `reasons` why, empty where it did not;
    `fields` (point, …) of the points that did not. `seconds` is how long it took, `solved` how
    often the field was solved; `version` are the numbers of schema and solver it was made with.
    """

    numbers: tuple[int, ...]
    figures: np.ndarray
    reasons: tuple[str, ...]
    fields: Mapping[str, np.ndarray]
    seconds: float = 0.0
    solved: int = 0
    known: Mapping[str, xr.DataArray] | None = None
    version: tuple[int, int] = (SCHEMA, SOLVER)


def require_version(done: Done, version: tuple[int, int]) -> None:
    """Refuse an answer of a worker that runs another version of the program."""
    if done.version != version:
        raise RoundoverError(
            f"a worker has schema and solver {done.version}, this machine {version}; install the "
            "same version of roundover on all"
        )


def work_on(block: Block) -> Done:
    """Compute the points of a block; one that fails has a reason instead of numbers."""
    start = time.perf_counter()
    solve = Remembered(block.solve, dict(block.known), threads=1)
    figures = np.full((len(block.numbers), count_of(block.case)), np.nan)
    reasons, kept = list[str](), list[dict[str, np.ndarray]]()
    with one_blas_thread():
        for row, changes in zip(figures, block.changes, strict=True):
            try:
                case = varied_case(block.case, changes)
                prediction = predict(case, solve=solve)
                fields = {
                    name: prediction[name].values
                    for name, shape in block.shapes.items()
                    if _fits(prediction, name, shape)
                }
                row[:] = figures_of(case, prediction)
            except RoundoverError as error:
                reasons.append(reason_of(error))
                continue
            reasons.append("")
            kept.append(fields)
    return Done(
        numbers=block.numbers,
        figures=figures,
        reasons=tuple(reasons),
        fields={name: np.stack([each[name] for each in kept]) for name in block.shapes if kept},
        seconds=time.perf_counter() - start,
        solved=solve.count,
        known=solve.known if block.give_back else None,
    )


def _fits(prediction: xr.Dataset, name: str, shape: tuple[int, ...]) -> bool:
    found = prediction[name].shape if name in prediction else ()
    if found != shape:
        raise RoundoverError(
            f"{name} has the shape {found} here and {shape} at other points; sweep such keys with "
            'keep = "figures"'
        )
    return True
