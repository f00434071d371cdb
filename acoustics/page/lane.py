"""A thread that does one thing after the other, of each kind only the newest."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from threading import Condition, Thread


class Lane:
    """One thread and the work that waits for it; may be used from any thread.

    Work raises nothing and looks by itself, between its steps, whether it is still wanted.
    """

    def __init__(self, name: str) -> None:
        self._waiting = dict[Hashable, Callable[[], None]]()
        self._change = Condition()
        self._closed = False
        self._busy = False
        # A daemon: what still runs when the command ends is of no use to anybody.
        self._thread = Thread(target=self._run, name=name, daemon=True)
        self._thread.start()

    def put(self, kind: Hashable, work: Callable[[], None]) -> None:
        """Have something done; it takes the place, in the row too, of what waits of its kind."""
        with self._change:
            if not self._closed:
                self._waiting[kind] = work
                self._change.notify()

    def drop(self, kind: Hashable) -> None:
        """Take out what waits of a kind."""
        with self._change:
            self._waiting.pop(kind, None)

    @property
    def busy(self) -> bool:
        """Whether something is being done or waits."""
        with self._change:
            return self._busy or bool(self._waiting)

    def close(self) -> None:
        """Begin nothing more."""
        with self._change:
            self._closed = True
            self._waiting.clear()
            self._change.notify()

    def join(self, seconds: float) -> bool:
        """Wait that long for the end of what is being done; whether it came."""
        self._thread.join(seconds)
        return not self._thread.is_alive()

    def _run(self) -> None:
        while (work := self._next()) is not None:
            work()

    def _next(self) -> Callable[[], None] | None:
        with self._change:
            self._busy = False
            while not (self._waiting or self._closed):
                self._change.wait()
            if self._closed:
                return None
            self._busy = True
            return self._waiting.pop(next(iter(self._waiting)))
