"""Whoever does the work of a study: processes that start when first needed, or this one."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, wait
from contextlib import contextmanager
from typing import Generic

from acoustics.conventions import RoundoverError
from acoustics.studies.workers.local_workers import Answer, Asked, LocalWorkers

LOSSES = 3
"""how often in a row workers may be lost before the work is given up"""


class Crew(Generic[Asked, Answer]):
    """Does `work`, a function of a module, in `count` processes; 0 for none but this one."""

    def __init__(self, count: int, work: Callable[[Asked], Answer]) -> None:
        self._count, self._work = count, work
        self._workers: LocalWorkers[Asked, Answer] | None = None

    def answers(self, asked: Sequence[Asked]) -> Iterator[tuple[int, Answer]]:
        """The number of each thing asked and its answer, as they come.

        Raises:
            RoundoverError: processes end again and again.
        """
        if self._count == 0:
            for number, one in enumerate(asked):
                yield number, self._work(one)
            return
        left, losses = dict(enumerate(asked)), 0
        at_work: dict[Future[Answer], int] = {}
        while left:
            workers = self._started()
            try:
                for number, one in left.items():
                    if number not in at_work.values():
                        at_work[workers.submit(one)] = number
                finished, _ = wait(at_work, return_when=FIRST_COMPLETED)
                for future in finished:
                    answer = future.result()
                    number = at_work.pop(future)
                    del left[number]
                    losses = 0
                    yield number, answer
            except Exception as error:
                workers.renew(error)
                at_work.clear()
                losses += 1
                if losses > LOSSES:
                    raise RoundoverError(
                        "worker processes end as soon as they start, perhaps for want of memory; "
                        'a script must call this under `if __name__ == "__main__":`. What is '
                        "found is kept"
                    ) from error

    def _started(self) -> LocalWorkers[Asked, Answer]:
        if self._workers is None:
            self._workers = LocalWorkers(self._count, self._work)
        return self._workers

    def end(self) -> None:
        """End the processes, whatever they are at."""
        if self._workers is not None:
            self._workers.end()


@contextmanager
def crew_of(count: int, work: Callable[[Asked], Answer]) -> Iterator[Crew[Asked, Answer]]:
    """A crew for some work, dismissed when it ends."""
    crew = Crew(count, work)
    try:
        yield crew
    finally:
        crew.end()
