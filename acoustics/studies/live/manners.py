"""How work in the background gives way while a hand moves."""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager

from acoustics.studies.live.stopping import Stop, Stopped

STILL = 0.25
"""s without a change after which work in the background goes on"""

LONGEST_WAIT = 4.0
"""s: after so long it goes on between two changes"""

NAP = 0.01
"""s"""

NICE = 10
"""by how much less urgent threads in the background are, where the system knows that of threads"""


class Manners:
    """Who goes first: `in_front` what a hand waits for, `checkpoint` of what goes on behind."""

    def __init__(self) -> None:
        self._busy = 0
        self._last = -STILL
        self._lock = threading.Lock()

    @contextmanager
    def in_front(self) -> Iterator[None]:
        """Within the block, and for a moment after it, work in the background waits."""
        with self._lock:
            self._busy += 1
        try:
            yield
        finally:
            with self._lock:
                self._busy -= 1
                self._last = time.monotonic()

    def checkpoint(self, stop: Stop) -> None:
        """Wait while a hand moves.

        Raises:
            Stopped: nobody waits any more.
        """
        since = time.monotonic()
        while True:
            if stop():
                raise Stopped
            now = time.monotonic()
            waited = now - since
            if not self._busy and (now - self._last > STILL or waited > LONGEST_WAIT):
                return
            time.sleep(NAP)


def threads_behind(count: int) -> ThreadPoolExecutor:
    """Threads that are less urgent than others, as are those that they start."""
    return ThreadPoolExecutor(count, thread_name_prefix="behind", initializer=_less_urgent)


def _less_urgent() -> None:
    if hasattr(os, "setpriority"):
        try:
            os.setpriority(os.PRIO_PROCESS, threading.get_native_id(), NICE)
        except OSError:  # a system that knows no such thing of threads
            return
