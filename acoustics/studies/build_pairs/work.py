"""What a worker does for pairs of builds: some builds of a design in, their numbers out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import xarray as xr

from acoustics.conventions import RoundoverError
from acoustics.field.blas import one_blas_thread
from acoustics.listening import Listener
from acoustics.prediction.predict import predict
from acoustics.studies.reasons import reason_of
from acoustics.studies.tolerance.makings import Makings, build_of
from acoustics.studies.yardsticks.listening_positions import Positions, played
from acoustics.studies.yardsticks.rated_figures import plain_numbers

Shapes = Mapping[str, tuple[tuple[str, ...], tuple[int, ...]]]
"""Name of a number → its dims and how many there are of each."""


@dataclass(frozen=True)
class Question:
    """What all builds of one design share.

    `number` is the design's, `who` its listeners, `ears` (m) its ear heights, `shapes` those of its
    numbers. `positions` is where designs are heard, None where nothing of that is known.
    """

    makings: Makings
    number: int
    who: tuple[Listener, ...]
    ears: tuple[float, ...]
    shapes: Shapes
    positions: Positions | None


@dataclass(frozen=True)
class Done:
    """Some builds: each number (build, …), and levels of every place (build, row, frequency).

    NaN where a build failed; `reasons` say why it did, empty where it did not.
    """

    numbers: Mapping[str, np.ndarray]
    levels: tuple[np.ndarray, ...]
    reasons: tuple[str, ...]


def work_on(asked: tuple[Question, np.ndarray]) -> Done:
    """Compute some builds, of which the draws (build, spread) are given, in whichever process."""
    question, draws = asked
    with one_blas_thread():
        found = [_build(question, each) for each in draws]
    return Done(
        {name: np.stack([each.numbers[name] for each in found]) for name in question.shapes},
        tuple(np.stack(place) for place in zip(*(each.levels for each in found), strict=True)),
        tuple(each.reasons[0] for each in found),
    )


def _build(question: Question, draws: np.ndarray) -> Done:
    """One build, without the dim build."""
    positions = question.positions
    try:
        case, how = build_of(question.makings, draws)
        prediction = predict(case, **how)
        answers = plain_numbers(case, prediction, question.who)
        numbers = {
            name: _as_in_design(answers, name, dims, sizes)
            for name, (dims, sizes) in question.shapes.items()
        }
        levels = []
        if positions is not None:
            ears = prediction.ear_height.copy(data=np.array(question.ears))
            levels = played(prediction.assign_coords(ear_height=ears), positions, question.number)
    except RoundoverError as error:
        nothing = {name: np.full(sizes, np.nan) for name, (_, sizes) in question.shapes.items()}
        return Done(nothing, _no_levels(question), (reason_of(error),))
    return Done(numbers, tuple(levels), ("",))


def _as_in_design(
    answers: xr.Dataset, name: str, dims: tuple[str, ...], sizes: tuple[int, ...]
) -> np.ndarray:
    """A number of a build; NaN where it has not as many, another crossover for one."""
    if name not in answers or set(answers[name].dims) != set(dims):
        return np.full(sizes, np.nan)
    found = answers[name].transpose(*dims).values.astype(float)
    return found if found.shape == sizes else np.full(sizes, np.nan)


def _no_levels(question: Question) -> tuple[np.ndarray, ...]:
    positions = question.positions
    if positions is None:
        return ()
    heard = len(positions.ears)
    return tuple(
        np.full((max(len(place.listeners) * heard, 1), positions.grid(place.band).size), np.nan)
        for place in positions.places
    )
