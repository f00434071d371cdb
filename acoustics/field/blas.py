"""One BLAS thread per worker while the solver's own threads fill the cores."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from threading import Lock
from typing import Any

from threadpoolctl import threadpool_limits


class _Limit:
    """Counts who wants the limit: the first sets it, the last lifts it.

    The limit holds for the whole process, so two solvers at once must not lift it out of order.
    """

    def __init__(self) -> None:
        self.lock = Lock()
        self.users = 0
        self.limiter: Any = None

    def enter(self) -> None:
        with self.lock:
            if self.users == 0:
                self.limiter = threadpool_limits(limits=1, user_api="blas")
            self.users += 1

    def leave(self) -> None:
        with self.lock:
            self.users -= 1
            if self.users == 0:
                self.limiter.restore_original_limits()


_LIMIT = _Limit()


@contextmanager
def one_blas_thread() -> Iterator[None]:
    """Within the block, linear algebra called from any thread uses one thread."""
    _LIMIT.enter()
    try:
        yield
    finally:
        _LIMIT.leave()
