"""Progress on standard error, for work that takes longer than two seconds."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Event, Thread

SILENT = 2.0
"""seconds: shorter work shows nothing"""

TICK = 1.0
"""seconds: how often the time on the screen moves on, whether a part is done or not"""

LINE = "{desc}: solving the field, {n_fmt} of {total_fmt} frequencies done, {elapsed} |{bar}|"
SHARE = "{desc}: {percentage:.0f} % done, {elapsed} so far, {remaining} left |{bar}|"
"""of work that has parts of several kinds"""


SO_FAR = "{desc}: comparing with what was measured, {elapsed} so far"
"""of work of which nobody knows how much is left"""

POINTS = (
    "{desc}: {n_fmt} of {total_fmt} points done, {elapsed}, {rate_fmt}, {remaining} left |{bar}|"
)
"""of a sweep: with rate and time left"""


@contextmanager
def progress_bar(task: str, total: int, line: str = LINE) -> Iterator[Callable[[int, int], None]]:
    """A function to call with (parts done, all of them); it draws only on a terminal.

    Parts are frequencies unless the line says otherwise. What is done at the first call was done
    before and does not count for the rate.
    """
    from tqdm import tqdm

    # disable=None: no bar unless standard error is a terminal.
    bar = tqdm(
        desc=task,
        total=total,
        bar_format=line,
        delay=SILENT,
        leave=False,
        disable=None,
        unit=" points",
        smoothing=0,
    )
    over = Event()

    def keep_time() -> None:
        # The first frequencies may take long, and until they are done nothing else draws.
        pause = SILENT
        while not over.wait(pause):
            bar.last_print_t = time.time()  # or it would not be wiped off at the end
            bar.refresh()
            pause = TICK

    clock = Thread(target=keep_time, daemon=True)
    clock.start()

    def show(done: int, _: int) -> None:
        bar.update(done - bar.n)

    try:
        yield show
    finally:
        over.set()
        clock.join()
        bar.close()
