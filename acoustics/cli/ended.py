"""A command that is asked to end tidies up as it does when it is interrupted."""

from __future__ import annotations

import signal
from types import FrameType

ASKED_TO_END = ("SIGTERM", "SIGHUP")
"""Names of the signals: from whoever manages processes, and from a terminal that is closed."""


class EndedError(KeyboardInterrupt):
    """The process was asked to end by a signal; `number` is which."""

    def __init__(self, number: int) -> None:
        super().__init__()
        self.number = number


def tidy_when_ended() -> None:
    """Take being asked to end as an interruption, from now on; where it is ignored, it stays so.

    Only the first counts: some send the signal twice, to the process and to its group, and what
    tidies up must not be ended in the middle of it. Ctrl-C and SIGKILL still work.
    """
    numbers = [getattr(signal, name) for name in ASKED_TO_END if hasattr(signal, name)]
    heeded = [number for number in numbers if signal.getsignal(number) == signal.SIG_DFL]

    def end(number: int, _: FrameType | None) -> None:
        for each in heeded:
            signal.signal(each, signal.SIG_IGN)
        raise EndedError(number)

    for number in heeded:
        signal.signal(number, end)
