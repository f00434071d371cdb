"""A design space: every point predicted, nothing lost, one Dataset."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from concurrent.futures import FIRST_COMPLETED, Future, wait
from contextlib import AbstractContextManager
from dataclasses import asdict
from pathlib import Path

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.case.design.sweep_model import Sweep
from acoustics.case.varied import varied_case
from acoustics.conventions import SCHEMA, SOLVER, RoundoverError
from acoustics.field.plan import Progress, usable_cores
from acoustics.prediction import predict
from acoustics.prediction.fields import Solve
from acoustics.storage import save
from acoustics.studies.sweeps.dataset import Answers, sweep_dataset
from acoustics.studies.sweeps.figures import FIGURES, count_of
from acoustics.studies.sweeps.order import (
    PROBES,
    Queue,
    Task,
    block_size,
    moves_field,
    queue_of,
    unit_field,
)
from acoustics.studies.sweeps.size import bytes_of, require_room
from acoustics.studies.sweeps.space import Space, point_count, space_of
from acoustics.studies.sweeps.store import LAYOUT, Store, open_store
from acoustics.studies.sweeps.work import FIELDS, Block, Done, Shapes, require_version, work_on
from acoustics.studies.workers.cluster import cluster_workers
from acoustics.studies.workers.local_workers import Workers, local_workers

ANSWER, BLOCKS = "sweep.nc", "blocks"
"""Names of the answer and of the store in the folder of a sweep."""

LOSSES = 3
"""how often in a row workers may be lost before the sweep is given up"""

Gang = AbstractContextManager[Workers[Block, Done]]


def sweep(
    case: Case,
    folder: str | Path,
    *,
    cluster: str | None = None,
    workers: int | None = None,
    progress: Progress | None = None,
    solve: Solve | None = None,
) -> xr.Dataset:
    """Predict every point of a case's [sweep] and gather the numbers.

    What is done is kept in `folder`/blocks: a sweep that was broken off goes on from there, and
    gives the same file to the last byte. A case whose swept keys leave the field as it is (filters,
    levels, delays) is solved once. A point that cannot be predicted is missing, with its reason.

    Args:
        case: with a sweep, see the table [sweep] of the case file.
        folder: where the answer, `sweep.nc`, and the blocks are written.
        cluster: address of a Dask scheduler, or "local" for a cluster on this machine; worker
            processes of our own if left out. A script that calls this without a cluster or with a
            local one does so under ``if __name__ == "__main__":``.
        workers: how many processes on this machine; one for each core if left out.
        progress: called from time to time with (points done, all points).
        solve: what computes the field, as in `predict`; it must be found by its name in workers.

    Returns:
        Dataset over the swept keys, each a dimension with its values as coordinate in SI units
        (degrees for angles); keys drawn together share the dimension `sample`. The numbers of
        `sweeps.figures.FIGURES`, `aim_value` and `aim_met` over (…, aim), and `reason`, text
        that says why a point is missing. With keep = "fields" also `filter`, `source`, `arc_field`,
        `seat_field`, `arc_total` and `seat_total`, complex, over (…, their own dimensions).

    Raises:
        RoundoverError: the case has no sweep; it is too large for memory or disk; the folder cannot
            be written, is in use, or holds the blocks of another sweep; the cluster cannot be
            reached.

    Example:
        >>> case = ac.read_case("cases/compact-sweep")  # doctest: +SKIP
        >>> found = ac.sweep(case, "sweep")  # doctest: +SKIP
        >>> found.window_ripple.idxmin("corner")  # doctest: +SKIP
    """
    cores = usable_cores() if workers is None else workers
    gang: Callable[[], Gang] = lambda: local_workers(cores, work_on)  # noqa: E731
    if cluster is not None:
        address = cluster
        gang = lambda: cluster_workers(address, cores, work_on)  # noqa: E731
    return run_sweep(case, Path(folder), gang, progress=progress, solve=solve)


def require_sweep(case: Case) -> Sweep:
    """What a case asks to be swept. Raises RoundoverError where it asks for nothing."""
    if case.sweep is None:
        raise RoundoverError(
            f"{case.path or case.title}: the case has no sweep; add a table [sweep] and for each "
            "key that is to take several values a table [[sweep.over]]"
        )
    return case.sweep


def run_sweep(
    case: Case,
    folder: Path,
    gang: Callable[[], Gang],
    *,
    progress: Progress | None = None,
    solve: Solve | None = None,
) -> xr.Dataset:
    """As `sweep`, with workers of any kind; they are called for only if something is left to do."""
    asked = require_sweep(case)
    points, fields = point_count(asked), asked.keep == "fields"
    require_room(points, bytes_of(points, count_of(case), {}), folder, fields=fields)
    space = space_of(asked)
    template = _template(case, space)
    shapes: Shapes = {name: template[name].shape for name in FIELDS} if fields else {}
    require_room(points, bytes_of(points, count_of(case), shapes), folder, fields=fields)
    digest = sweep_digest(case, space)
    with open_store(folder / BLOCKS, digest, case.path or case.title) as store:
        answers = Answers(points, count_of(case), shapes)
        for done in store.blocks():
            if answers.fits(done):
                answers.take(done)
        if progress is not None:
            progress(int(answers.done.sum()), points)
        if not answers.done.all():
            queue = queue_of(space, moves_field(case, space), answers.done)
            with gang() as workers:
                _Run(case, space, shapes, queue, workers, store, answers, solve).finish(progress)
        dataset = sweep_dataset(case, space, answers, digest, template)
        save(dataset, folder / ANSWER)
    return dataset


def sweep_digest(case: Case, space: Space) -> str:
    """SHA-256 (hex) of all that a sweep's numbers rest on."""
    assert case.sweep is not None
    content = {
        "case": case.digest,
        "aims": [asdict(aim) for aim in case.aims],
        "keep": case.sweep.keep,
        "over": [asdict(key) for key in (*space.over, *space.drawn_keys)],
        "drawn": space.drawn.tolist(),
        "figures": list(FIGURES),
        "numbers": [SCHEMA, SOLVER, LAYOUT],
    }
    return hashlib.sha256(json.dumps(content, sort_keys=True).encode()).hexdigest()


def _template(case: Case, space: Space) -> xr.Dataset:
    """A prediction in the shape of the points', of the first of some that can be read."""
    for number in np.linspace(0, space.size - 1, min(PROBES, space.size)).astype(int):
        try:
            return predict(varied_case(case, space.changes(int(number))), solve=unit_field)
        except RoundoverError:
            continue
    return predict(case, solve=unit_field)


class _Run:
    """The points that are left, their workers and the store."""

    def __init__(
        self,
        case: Case,
        space: Space,
        shapes: Shapes,
        queue: Queue,
        workers: Workers[Block, Done],
        store: Store,
        answers: Answers,
        solve: Solve | None,
    ) -> None:
        self.case, self.space, self.shapes = case, space, shapes
        self.queue, self.workers = queue, workers
        self.store, self.answers, self.solve = store, answers, solve
        self.at_work: dict[Future[Done], Task] = {}
        self.seconds: float | None = None  # per point, lately
        self.losses = 0

    def finish(self, progress: Progress | None) -> None:
        """Compute all points that are left; every block is written as soon as it is there."""
        while self.queue.left or self.at_work:
            self._hand_out()
            finished, _ = wait(self.at_work, return_when=FIRST_COMPLETED)
            for future in finished:
                if future in self.at_work:  # else given anew with a lost worker's
                    self._take(future)
            if progress is not None:
                progress(int(self.answers.done.sum()), self.space.size)

    def _hand_out(self) -> None:
        """Give every worker something to do, and one block more to go on with."""
        while len(self.at_work) <= self.workers.count:
            left = self.queue.left + sum(len(task.numbers) for task in self.at_work.values())
            task = self.queue.take(block_size(self.seconds, left, self.workers.count))
            if task is None:
                return
            block = Block(
                case=self.case,
                numbers=task.numbers,
                changes=tuple(self.space.changes(number) for number in task.numbers),
                shapes=self.shapes,
                known=task.known,
                give_back=task.give_back,
                solve=self.solve,
            )
            try:
                self.at_work[self.workers.submit(block)] = task
            except Exception as error:
                self.queue.put_back(task)
                self._lost(error)

    def _take(self, future: Future[Done]) -> None:
        """Keep a block's answer, or have it computed again where its worker was lost."""
        task = self.at_work.pop(future)
        try:
            done = future.result()
        except Exception as error:
            self.queue.put_back(task)
            self._lost(error)
            return
        require_version(done, (SCHEMA, SOLVER))
        self.losses = 0
        self.store.write(done)
        self.answers.take(done)
        self.queue.learn(task, done.known)
        each = done.seconds / len(done.numbers)
        self.seconds = each if self.seconds is None else 0.7 * self.seconds + 0.3 * each

    def _lost(self, error: BaseException) -> None:
        """Renew the workers and line up again what they were at, but not without end."""
        self.workers.renew(error)
        self.losses += 1
        if self.losses > LOSSES:
            raise RoundoverError(
                "worker processes end as soon as they start, perhaps for want of memory; a script "
                'must call a sweep under `if __name__ == "__main__":`. What is done is kept'
            ) from error
        for task in self.at_work.values():
            self.queue.put_back(task)
        self.at_work.clear()
