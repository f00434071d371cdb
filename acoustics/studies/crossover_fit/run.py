"""Fit a passive crossover: every candidate near by, the best all over, then in standard parts."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np

from acoustics.case.design.model import Case
from acoustics.case.design.network_model import Element
from acoustics.field.blas import one_blas_thread
from acoustics.field.plan import Progress, usable_cores
from acoustics.prediction.fields import Solve
from acoustics.studies.crossover_fit.aims import Residuals
from acoustics.studies.crossover_fit.candidates import Candidate, candidates_of, spans_of
from acoustics.studies.crossover_fit.kept import KIND, LAYOUT, arrays_of, outcome_of
from acoustics.studies.crossover_fit.outcome import Outcome
from acoustics.studies.crossover_fit.question import Question, level_to_be_had, trial_of
from acoustics.studies.crossover_fit.scene import fit_asked, scene_of
from acoustics.studies.crossover_fit.score import price_of, score_of
from acoustics.studies.crossover_fit.search import found_all_over, found_near, snapped
from acoustics.studies.kept_files import KeptFiles, kept_files
from acoustics.studies.remembered import Remembered
from acoustics.studies.workers.crew import Crew, crew_of

FINALISTS = 4
"""candidates that are searched all over and put into standard parts"""

NEAR, ALL_OVER, SNAPPED = 1, 6, 6
"""How long each kind of work takes, about, for the progress that is shown"""

WORK = "found"
"""Name of the folder of what has been found, in the folder of a fit."""


@dataclass(frozen=True)
class Finalist:
    """A candidate in standard parts: its values (H, F, ohm), what is left of each aim, its price.

    `score` is what candidates are ranked by: the cost's root in dB, and what parts and price are
    worth.
    """

    candidate: Candidate
    ladders: tuple[tuple[Element, ...], ...]
    outcome: Outcome
    residuals: Residuals
    price: float
    score: float


@dataclass(frozen=True)
class Fitted:
    """What a fit found: the drivers from the lowest on, all finalists, the best first.

    `tried` is how many candidates there were.
    """

    question: Question
    drivers: tuple[str, ...]
    finalists: tuple[Finalist, ...]
    tried: int

    @property
    def best(self) -> Finalist:
        """The one with the lowest score."""
        return self.finalists[0]


def fit_crossover(
    case: Case,
    folder: str | Path | None = None,
    *,
    workers: int | None = None,
    progress: Progress | None = None,
    solve: Solve | None = None,
) -> Fitted:
    """Fit a passive crossover to a case's drivers, in its cabinet, in all directions at once.

    Shapes and aims are those of the case's table [fit], or the usual ones. Drivers with electrical
    slopes keep their own amplifiers and filters. Every candidate is fitted near textbook values;
    the best are searched all over and then put into standard values. With a folder, what is found
    is kept there, and a fit that was broken off goes on from it; the answer is the same.

    Args:
        case: the design.
        folder: where what is found is kept, in a folder of its own; nowhere if None.
        workers: processes; one for each core if left out, 0 for none but this one. A script that
            has any calls this under ``if __name__ == "__main__":``.
        progress: called from time to time with (share of the work done, all of it).
        solve: what computes the field, as in `predict`.

    Raises:
        RoundoverError: no driver to fit, an impedance that nothing tells, too few parts allowed, or
            a folder that cannot be written.

    Example:
        >>> case = ac.read_case("cases/compact-passive")  # doctest: +SKIP
        >>> ac.fit_crossover(case, workers=0).best.ladders  # doctest: +SKIP
    """
    remembered = solve if isinstance(solve, Remembered) else Remembered(solve, {})
    fit = fit_asked(case)
    scene = scene_of(case, remembered)
    question = Question(
        scene, fit, spans_of(case, scene, fit), level_to_be_had(scene, fit, case.reference.distance)
    )
    candidates = candidates_of(case, scene, fit)
    work = None if folder is None else Path(folder) / WORK
    few = min(FINALISTS, len(candidates))
    total = NEAR * len(candidates) + (ALL_OVER + SNAPPED) * few
    count = usable_cores() if workers is None else workers
    with (
        one_blas_thread(),
        kept_files(work, KIND, LAYOUT, question) as kept,
        crew_of(count, work_on) as crew,
    ):
        run = _Run(question, kept, crew, partial(_tell, progress, total))
        near = run.all_of([Task("near", c) for c in candidates], NEAR)
        ranked = sorted(range(len(candidates)), key=lambda n: run.score(candidates[n], near[n]))
        chosen = [candidates[n] for n in ranked[:few]]
        known = [near[n] for n in ranked[:few]]
        wide = run.all_of(_tasks("all over", chosen, known), ALL_OVER)
        standard = run.all_of(_tasks("snapped", chosen, wide), SNAPPED)
        finalists = [run.finalist(c, o) for c, o in zip(chosen, standard, strict=True)]
        kept.clear()
    finalists.sort(key=lambda each: each.score)
    return Fitted(question, scene.names, tuple(finalists), len(candidates))


def _tell(progress: Progress | None, total: int, done: int) -> None:
    if progress is not None:
        progress(done, total)


@dataclass(frozen=True)
class Task:
    """One thing to find out about a candidate, from what is known of it."""

    kind: str
    candidate: Candidate
    known: Outcome | None = None


def _tasks(kind: str, candidates: Iterable[Candidate], known: Iterable[Outcome]) -> list[Task]:
    return [Task(kind, c, o) for c, o in zip(candidates, known, strict=True)]


def work_on(asked: tuple[Question, Task]) -> Outcome:
    """Do a task, in whichever process."""
    question, task = asked
    with one_blas_thread():
        if task.known is None:
            return found_near(question, task.candidate)
        ways: dict[str, Callable[[Question, Candidate, Outcome], Outcome]] = {
            "all over": found_all_over,
            "snapped": snapped,
        }
        return ways[task.kind](question, task.candidate, task.known)


class _Run:
    """The question, and what is kept of its answers."""

    def __init__(
        self, question: Question, kept: KeptFiles, crew: Crew, tell: Callable[[int], None]
    ) -> None:
        self.question, self.kept, self.crew, self.tell = question, kept, crew, tell
        self.done = 0

    def all_of(self, tasks: Sequence[Task], weight: int) -> list[Outcome]:
        """Answers to some tasks, in their order; those that are kept are not sought again."""
        answers: dict[int, Outcome] = {}
        for number, task in enumerate(tasks):
            found = self.kept.read(task)
            if found is not None:
                answers[number] = outcome_of(found)
                self._advance(weight)
        left = [number for number in range(len(tasks)) if number not in answers]
        asked = [(self.question, tasks[number]) for number in left]
        for place, outcome in self.crew.answers(asked):
            number = left[place]
            self.kept.write(arrays_of(outcome), tasks[number])
            answers[number] = outcome
            self._advance(weight)
        return [answers[number] for number in range(len(tasks))]

    def finalist(self, candidate: Candidate, outcome: Outcome) -> Finalist:
        """A candidate in standard parts, told in full."""
        trial, values = trial_of(self.question, candidate), np.array(outcome.values)
        return Finalist(
            candidate=candidate,
            ladders=tuple(trial.ladders(values, outcome.seconds)),
            outcome=outcome,
            residuals=trial.residuals(values),
            price=price_of(trial.kinds, outcome, self.question.fit.prices),
            score=score_of(self.question.fit, trial.kinds, outcome),
        )

    def score(self, candidate: Candidate, outcome: Outcome) -> float:
        """What candidates are ranked by, dB: less is better."""
        kinds = trial_of(self.question, candidate).kinds
        return score_of(self.question.fit, kinds, outcome)

    def _advance(self, weight: int) -> None:
        self.done += weight
        self.tell(self.done)
