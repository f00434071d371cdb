"""How long work learns that nobody waits for its answer any more."""

from __future__ import annotations

from collections.abc import Callable

from acoustics.field.plan import Progress

Stop = Callable[[], bool]
"""whether to stop"""


class Stopped(Exception):  # noqa: N818
    """The work was stopped; there is no answer."""


def never() -> bool:
    """Do not stop."""
    return False


def stopping(stop: Stop, told: Callable[[float], None] | None = None) -> Progress:
    """Progress that raises `Stopped` as soon as it is to stop, and tells the share done."""

    def progress(done: int, total: int) -> None:
        if stop():
            raise Stopped
        if told is not None:
            told(done / total)

    return progress
