"""The progress of a study, as it is shown."""

from __future__ import annotations

from collections.abc import Callable

from acoustics.field.plan import Progress


class Tell:
    """Progress of a study, as tasks and solved calls of the field solver."""

    def __init__(self, progress: Progress | None, total: int) -> None:
        self._progress: Callable[[int, int], None] | None = progress
        self._done, self._total = 0, total

    def more(self, count: int) -> None:
        """There is so much more to do."""
        self._total += count

    def one(self) -> None:
        """One more is done."""
        self._done += 1
        if self._progress is not None:
            self._progress(self._done, self._total)
