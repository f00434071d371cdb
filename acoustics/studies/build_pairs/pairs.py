"""Builds of several designs, those of like number heard by one listener in one room."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.case.design.tolerance_model import Tolerance
from acoustics.case.objects.usual_tolerance import usual_tolerance
from acoustics.conventions import RoundoverError
from acoustics.field.blas import one_blas_thread
from acoustics.field.plan import Progress, usable_cores
from acoustics.listening import listeners
from acoustics.prediction.fields import Solve
from acoustics.prediction.receivers import aside_ear
from acoustics.studies.build_pairs.draws import paired_draws
from acoustics.studies.build_pairs.work import Done, Question, Shapes, work_on
from acoustics.studies.tolerance.makings import makings_of
from acoustics.studies.tolerance.tell import Tell
from acoustics.studies.workers.crew import crew_of
from acoustics.studies.yardsticks.listening_positions import Positions
from acoustics.studies.yardsticks.rated_figures import UNCERTAINTY
from acoustics.studies.yardsticks.table import OPEN

BEYOND = 3
"""builds beyond each end of the band, at least: fewer say nothing of where it lies"""

FEWEST = 60
"""builds, if there are enough beyond the ends. An end of a band of 90 % is then good to about a
quarter of the differences' standard deviation; that falls with the root of their number only."""

BLOCK = 10
"""builds computed together"""


@dataclass(frozen=True)
class BuildPairs:
    """Builds of several designs.

    `numbers` of each design are those of `numbers.plain_numbers` with a dim `build` before the
    others; `levels` of each design are those of `places.played`, (build, row, frequency) of each
    place. `band` is the share of pairs that lies within the bands told, `tolerances` are the
    spreads of each design, `seed` is that of the draws; of the builds `asked` for, `sound` can be
    in all designs, and only those are kept.
    """

    numbers: tuple[xr.Dataset, ...]
    levels: tuple[tuple[np.ndarray, ...], ...]
    band: float
    tolerances: tuple[Tolerance, ...]
    seed: int
    asked: int
    sound: int


def enough(band: float) -> int:
    """How many builds the ends of a band (share of them, 0 to 1) take."""
    return max(FEWEST, math.ceil(round(2 * BEYOND / (1 - band), 6)))


def build_pairs(
    cases: Sequence[Case],
    predictions: Sequence[xr.Dataset],
    answers: Sequence[xr.Dataset],
    positions: Positions | None,
    *,
    builds: int | None = None,
    workers: int | None = None,
    progress: Progress | None = None,
    solve: Solve | None = None,
) -> BuildPairs:
    """Compute builds of designs, each with the spreads of its own case, or else the usual ones.

    The widest band that a case asks for counts, and the seed of the first.

    Args:
        cases: the designs.
        predictions: theirs.
        answers: their numbers, as `numbers.numbers_of` gives them.
        positions: where they are heard, as `listening_positions.positions_of` gives it.
        builds: how many of each; as many as the band takes if left out.
        workers: processes; one for each core if left out, 0 for none but this one.
        progress: called from time to time with (share of the work done, all of it).
        solve: what computes the field, as in `predict`.

    Raises:
        RoundoverError: a spread of something that is not there, or less than half of the builds
            can be.
    """
    tolerances = tuple(case.tolerance or usual_tolerance(case) for case in cases)
    band = max(each.band for each in tolerances)
    count, seed = enough(band) if builds is None else builds, tolerances[0].seed
    draws = paired_draws(tolerances, count, seed)
    blocks = [slice(at, at + BLOCK) for at in range(0, count, BLOCK)]
    tell = Tell(progress, (1 + len(blocks)) * len(cases))
    done = list[list[Done]]()
    with (
        one_blas_thread(),
        crew_of(usable_cores() if workers is None else workers, work_on) as crew,
    ):
        for number, (case, prediction) in enumerate(zip(cases, predictions, strict=True)):
            makings, _ = makings_of(case, tolerances[number].spreads, solve, aside_ear(case))
            tell.one()
            question = Question(
                makings,
                number,
                listeners(prediction),
                tuple(prediction.ear_height.values.tolist()),
                _shapes(answers[number]),
                positions,
            )
            found = dict[int, Done]()
            asked = [(question, draws[number][block]) for block in blocks]
            for place, answer in crew.answers(asked):
                found[place] = answer
                tell.one()
            done.append([found[place] for place in range(len(blocks))])
    reasons = [[why for block in each for why in block.reasons] for each in done]
    sound = np.array([not any(whys) for whys in zip(*reasons, strict=True)])
    if np.count_nonzero(sound) < count / 2:
        why = next(why for each in reasons for why in each if why)
        raise RoundoverError(
            f"{np.count_nonzero(~sound)} of {count} builds cannot be: {why}; state smaller spreads"
        )
    return BuildPairs(
        tuple(_dataset(own, each, sound) for own, each in zip(answers, done, strict=True)),
        tuple(
            tuple(
                np.concatenate(place)[sound]
                for place in zip(*(block.levels for block in each), strict=True)
            )
            for each in done
        ),
        band,
        tolerances,
        seed,
        count,
        int(np.count_nonzero(sound)),
    )


def _shapes(answers: xr.Dataset) -> Shapes:
    """The numbers compared, and what tells that they may be larger."""
    names = [str(name) for name in answers if f"{name}{UNCERTAINTY}" in answers]
    names += [name for name in OPEN.values() if name in answers]
    return {name: (tuple(map(str, answers[name].dims)), answers[name].shape) for name in names}


def _dataset(answers: xr.Dataset, blocks: Sequence[Done], sound: np.ndarray) -> xr.Dataset:
    """Numbers of builds with the coordinates of the design's."""
    return xr.Dataset(
        {
            name: (
                ("build", *answers[name].dims),
                np.concatenate([block.numbers[name] for block in blocks])[sound],
            )
            for name in blocks[0].numbers
        },
        coords=answers.coords,
    )
