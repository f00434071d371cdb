"""Two jobs for every block, on a pool of threads."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import CancelledError, Future, ThreadPoolExecutor, as_completed
from threading import Event
from typing import Any, TypeVar

from acoustics.field.blas import one_blas_thread

First = TypeVar("First")
Second = TypeVar("Second")
Checkpoint = Callable[[], None]


def both_jobs(
    sizes: Sequence[float],
    workers: int,
    first: Callable[[int, Checkpoint], First],
    second: Callable[[int, Checkpoint], Second],
) -> Iterator[tuple[int, First, Second]]:
    """Do two jobs for every block; give their results as soon as a block has both.

    The largest blocks start first, so that no core is idle at the end. If one job fails or the
    caller stops, the others end at their next checkpoint.

    Args:
        sizes: of the blocks, in any unit.
        workers: how many jobs at once.
        first: called with a block's number and the checkpoint to call between parts.
        second: likewise.
    """
    stopped = Event()

    def checkpoint() -> None:
        if stopped.is_set():
            raise CancelledError

    with one_blas_thread(), ThreadPoolExecutor(max_workers=workers) as pool:
        order = sorted(range(len(sizes)), key=lambda number: -sizes[number])
        firsts, seconds = {}, {}
        for number in order:
            firsts[number] = pool.submit(first, number, checkpoint)
            seconds[number] = pool.submit(second, number, checkpoint)
        tasks: list[Future[Any]] = [*firsts.values(), *seconds.values()]
        whose = dict(zip(tasks, 2 * order, strict=True))
        waiting = dict.fromkeys(order, 2)
        try:
            for task in as_completed(whose):
                task.result()
                number = whose[task]
                waiting[number] -= 1
                if not waiting[number]:
                    yield number, firsts.pop(number).result(), seconds.pop(number).result()
        except BaseException:  # an interruption too
            stopped.set()
            pool.shutdown(cancel_futures=True)
            raise
