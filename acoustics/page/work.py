"""The threads of the page, and how slow work gives way to what somebody waits for."""

from __future__ import annotations

import time
from collections.abc import Callable

from acoustics.page.bounds import HAND_RESTS, PATIENCE
from acoustics.page.lane import Lane

NAP = 0.01
"""seconds between two looks whether a hand still moves"""


class Work:
    """Four threads: answers while a hand moves, exact answers, fields to be asked, and maps.

    The first is never kept waiting by the others. Exact answers and maps stand still at their next
    step while a hand moves anywhere; fields and maps while something exact is computed.
    """

    def __init__(self) -> None:
        self.live = Lane("live answers")
        self.exact = Lane("exact answers")
        self.fields = Lane("fields")
        self.maps = Lane("maps")
        self._moved = float("-inf")
        self._closed = False

    def hand(self, held: bool) -> None:
        """A hand has moved something and holds it still, or has let it go."""
        self._moved = time.monotonic() if held else float("-inf")

    def gives_way(
        self, unwanted: Callable[[], bool], *, to_exact: bool = False
    ) -> Callable[[], bool]:
        """A function for slow work to ask whether to stop; it returns when the way is free.

        Args:
            unwanted: whether nobody waits for that work any more.
            to_exact: wait while something exact is computed, too.
        """

        def stop() -> bool:
            while not (self._closed or unwanted()):
                if not (self._hand_moves() or (to_exact and self.exact.busy)):
                    return False
                time.sleep(NAP)
            return True

        return stop

    def after_exact(self, unwanted: Callable[[], bool]) -> Callable[[], bool]:
        """The same for work that gives way to hands by itself: it waits for exact answers alone."""

        def stop() -> bool:
            while not (self._closed or unwanted()):
                if not self.exact.busy:
                    return False
                time.sleep(NAP)
            return True

        return stop

    def close(self) -> None:
        """End the threads, and what they are doing at its next step."""
        self._closed = True
        lanes = (self.live, self.exact, self.fields, self.maps)
        for lane in lanes:
            lane.close()
        end = time.monotonic() + PATIENCE
        for lane in lanes:
            lane.join(max(end - time.monotonic(), 0.0))

    def _hand_moves(self) -> bool:
        return time.monotonic() - self._moved < HAND_RESTS
