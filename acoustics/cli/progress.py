"""Progress on standard error, for work that takes longer than two seconds."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Timer

SILENT = 2.0
"""seconds: shorter work shows nothing"""


@contextmanager
def progress_bar(task: str, total: int) -> Iterator[Callable[[int, int], None]]:
    """A function to call with (frequencies done, all of them); it draws only on a terminal."""
    from tqdm import tqdm

    # disable=None: no bar unless standard error is a terminal.
    bar = tqdm(desc=task, total=total, unit=" frequencies", delay=SILENT, leave=False, disable=None)
    # The first frequencies may take longer than that, and then nothing calls in time.
    first = Timer(SILENT, bar.refresh)
    first.daemon = True
    first.start()

    def show(done: int, _: int) -> None:
        bar.update(done - bar.n)

    try:
        yield show
    finally:
        first.cancel()
        bar.close()
