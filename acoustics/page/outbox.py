"""What is to go to one tab: a few messages, of curves only the newest."""

from __future__ import annotations

import asyncio
import itertools
from collections.abc import Hashable

from acoustics.page.bounds import MOST_WAITING

Frame = str | bytes


class TooSlowError(Exception):
    """A tab does not take what it is sent."""


class Outbox:
    """Messages to one tab, in order; used by the event loop alone.

    A message of a `kind` takes the place of one of that kind that still waits, so that a tab that
    is slow misses pictures in between and never gets behind.
    """

    def __init__(self) -> None:
        self._waiting = dict[Hashable, Frame]()
        self._there = asyncio.Event()
        self._count = itertools.count()
        self._over = False

    def put(self, frame: Frame, kind: str = "") -> None:
        """Add a message; without a `kind` all of them are sent. One too many ends the outbox."""
        key: Hashable = kind or next(self._count)
        self._waiting.pop(key, None)  # the newer one goes behind what came before it
        self._waiting[key] = frame
        if sum(not isinstance(each, str) for each in self._waiting) > MOST_WAITING:
            self._over = True
        self._there.set()

    async def next(self) -> Frame:
        """The oldest message, as soon as there is one.

        Raises:
            TooSlowError: more wait than may.
        """
        while not self._waiting:
            self._there.clear()
            await self._there.wait()
        if self._over:
            raise TooSlowError
        return self._waiting.pop(next(iter(self._waiting)))
