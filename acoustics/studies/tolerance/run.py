"""A study of tolerances: many builds of one design, each a little off."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import xarray as xr

from acoustics.case.design.model import Case
from acoustics.case.design.tolerance_model import Tolerance
from acoustics.case.objects.usual_tolerance import usual_tolerance
from acoustics.conventions import RoundoverError
from acoustics.field.blas import one_blas_thread
from acoustics.field.plan import Progress, usable_cores
from acoustics.prediction.fields import Solve
from acoustics.studies.kept_files import KeptFiles, kept_files
from acoustics.studies.tolerance.builds import MOVES_FIELD
from acoustics.studies.tolerance.dataset import tolerance_dataset
from acoustics.studies.tolerance.draws import drawn
from acoustics.studies.tolerance.kept import KIND, about, arrays_of, done_of
from acoustics.studies.tolerance.kept_fields import FIELD, KeptFields
from acoustics.studies.tolerance.makings import exact_solver, makings_of
from acoustics.studies.tolerance.record import curves_of, figures_of, taken, told_of
from acoustics.studies.tolerance.size import require_room
from acoustics.studies.tolerance.tell import Tell
from acoustics.studies.tolerance.work import Done, Question, Task, work_on
from acoustics.studies.workers.crew import crew_of

WORK = "work"
"""Name of the folder of what has been computed, in the folder of a study."""

FIELDS = "fields"
"""Name of the folder of the fields round the design, in that."""

BLOCK = 25
"""builds computed together"""

CHECKED = 3
"""builds whose field is solved exactly too: the first ones"""


def tolerance_study(
    case: Case,
    folder: str | Path | None = None,
    *,
    tolerance: Tolerance | None = None,
    workers: int | None = None,
    progress: Progress | None = None,
    solve: Solve | None = None,
) -> xr.Dataset:
    """What becomes of a design in builds that each stray a little.

    Every build draws from every spread by itself; of a pair both cabinets are built alike. Filters
    that are computed stay those of the design, as a processor holds them. Fields are solved round
    the design and expanded between (see `nearby`); some builds are solved exactly too, and the
    attribute `deviation` is the largest difference found there. With a folder, what is computed
    is kept there, and a study that was broken off goes on from it; the answer is the same, whatever
    the number of workers.

    Args:
        case: the design.
        folder: where builds are kept, in a folder of its own; nowhere if None.
        tolerance: the spreads; those of the case if left out, or else the usual ones.
        workers: processes; one for each core if left out, 0 for none but this one. A script that
            has any calls this under ``if __name__ == "__main__":``.
        progress: called from time to time with (share of the work done, all of it).
        solve: what computes the field, as in `predict`.

    Returns:
        Dataset with the variables of `conventions.TOLERANCE`. Of every curve the values below which
        a share of the builds lies (percentile), and that of the design (`design_…`); figures of all
        builds and their draws; of every aim how many builds meet it; Sobol indices of every figure.

    Raises:
        RoundoverError: fewer than two builds, a spread of something that is not there, a folder
            that cannot be written, more builds than fit memory or disk, or not one build that
            can be.

    Example:
        >>> import acoustics as ac
        >>> bands = ac.tolerance_study(ac.read_case("case.toml"))  # doctest: +SKIP
        >>> bands.listening_window.sel(percentile=95.0)  # doctest: +SKIP
    """
    asked = tolerance or case.tolerance or usual_tolerance(case)
    if asked.builds < 2:
        raise RoundoverError(f"a study of tolerances needs two builds or more, not {asked.builds}")
    require_room(case, asked, None if folder is None else Path(folder))
    draws = drawn(asked)
    tasks = [Task(draws[at : at + BLOCK]) for at in range(0, len(draws), BLOCK)]
    if any(spread.kind in MOVES_FIELD for spread in asked.spreads):
        checks = min(CHECKED, len(draws))
        tasks = [*(Task(draws[n : n + 1], check=True) for n in range(checks)), *tasks]
    count = usable_cores() if workers is None else workers
    with one_blas_thread():
        tell = Tell(progress, len(tasks))
        work = None if folder is None else Path(folder) / WORK
        with kept_files(work and work / FIELDS, FIELD) as files:
            around = solve if work is None else KeptFields(files, exact_solver(solve))
            makings, design = makings_of(case, asked.spreads, around, more=tell.more, done=tell.one)
            files.clear()
        question = Question(replace(makings, solve=solve), told_of(design, case.aims))
        with kept_files(work, KIND, *about(question)) as files:
            done = _all_of(question, tasks, files, count, tell)
            files.clear()
    checked = [each for task, each in zip(tasks, done, strict=True) if task.check]
    blocks = [each for task, each in zip(tasks, done, strict=True) if not task.check]
    told = question.told
    own = Done(
        {name: each[None] for name, each in curves_of(told, design).items()},
        figures_of(told, design.frequency.values, [taken(told, design)]),
        ("",),
    )
    off = [float(each.figures[0, 0]) for each in checked]
    return tolerance_dataset(case, asked, draws, told, design, own, blocks, off)


def _all_of(
    question: Question, tasks: list[Task], files: KeptFiles, count: int, tell: Tell
) -> list[Done]:
    """Answers to all tasks, in their order; those that are kept are not computed again."""
    answers: dict[int, Done] = {}
    for number, task in enumerate(tasks):
        found = files.read(task)
        if found is not None:
            answers[number] = done_of(found)
            tell.one()
    left = [number for number in range(len(tasks)) if number not in answers]
    with crew_of(count, work_on) as crew:
        for place, done in crew.answers([(question, tasks[number]) for number in left]):
            number = left[place]
            files.write(arrays_of(done), tasks[number])
            answers[number] = done
            tell.one()
    return [answers[number] for number in range(len(tasks))]
