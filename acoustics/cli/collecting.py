"""Fewer passes of the garbage collector while a short command runs."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager

RARELY = (100_000, 50, 50)
"""Objects made between passes over the young, middle and old ones."""


@contextmanager
def rare_collection() -> Iterator[None]:
    """Let the collector pass rarely; what it was set to comes back at the end.

    Loading libraries and drawing make many objects that live on, and with Python's own setting the
    collector looks at all of them again and again: an eighth of the time of a short command.
    """
    before = gc.get_threshold()
    gc.set_threshold(*RARELY)
    try:
        yield
    finally:
        gc.set_threshold(*before)
