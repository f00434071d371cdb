"""Worker processes on this machine, which end when the process that started them does."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from multiprocessing.connection import Connection
from threading import Thread
from typing import Generic, Protocol, TypeVar

Asked = TypeVar("Asked")
Answer = TypeVar("Answer")
Asked_contra = TypeVar("Asked_contra", contravariant=True)


class Workers(Protocol[Asked_contra, Answer]):
    """Whoever does the work, on this machine or elsewhere."""

    count: int
    """how many things are done at once"""

    def submit(self, asked: Asked_contra, /) -> Future[Answer]:
        """Have something done."""

    def renew(self, error: BaseException) -> None:
        """Make good that a worker was lost, after which what was at work is given anew.

        Raises what `error` says where it is no such loss.
        """


class LocalWorkers(Generic[Asked, Answer]):
    """A pool of spawned processes that do `work`, a function of a module.

    They wait for nothing but work and the end of `leash`, a pipe whose other end is here: it ends
    with this process, even when that is killed.
    """

    def __init__(self, count: int, work: Callable[[Asked], Answer]) -> None:
        self.count, self._work = count, work
        self._context = multiprocessing.get_context("spawn")
        self._held, self._leash = self._context.Pipe(duplex=False)
        with _interrupted_later():  # what tidies up after the processes starts with the first pool
            self._pool: Executor = self._start()

    def _start(self) -> Executor:
        return ProcessPoolExecutor(
            self.count,
            mp_context=self._context,
            initializer=_end_with_parent,
            initargs=(self._held,),
        )

    def submit(self, asked: Asked) -> Future[Answer]:
        """Have something done; the process that does it may start now."""
        with _interrupted_later():
            return self._pool.submit(self._work, asked)

    def renew(self, error: BaseException) -> None:
        """Start new processes after one was killed."""
        if not isinstance(error, BrokenProcessPool):
            raise error
        self._pool.shutdown(wait=False, cancel_futures=True)
        self._pool = self._start()

    def end(self) -> None:
        """End the processes, whatever they are at."""
        self._leash.close()
        self._held.close()
        self._pool.shutdown(wait=True, cancel_futures=True)


@contextmanager
def local_workers(
    count: int, work: Callable[[Asked], Answer]
) -> Iterator[LocalWorkers[Asked, Answer]]:
    """Processes for some work, ended when it ends."""
    workers = LocalWorkers(count, work)
    try:
        yield workers
    finally:
        workers.end()


@contextmanager
def _interrupted_later() -> Iterator[None]:
    """Keep interruptions back, here until the end of this and for good in what is started in it.

    Ctrl-C and the end of a terminal reach all processes that were started from it. One that starts
    loads libraries before it runs a line of ours, and would tell where it was when it was
    interrupted. What is blocked stays so in processes that are started (POSIX.1, exec).
    """
    if sys.platform == "win32":
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT, signal.SIGHUP})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _end_with_parent(held: Connection) -> None:
    """In a worker: leave interruptions to the parent, and end when it lets go of the pipe."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)

    def wait() -> None:
        try:
            held.recv_bytes()
        except (EOFError, OSError):
            os._exit(1)

    Thread(target=wait, daemon=True).start()
