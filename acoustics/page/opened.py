"""The file that is open, the tabs that look at it, and the threads that work for them."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING
from weakref import WeakValueDictionary

from acoustics.conventions import RoundoverError
from acoustics.page.bounds import ALMOST, LONGEST_WORDS, REMEMBERED
from acoustics.page.desk import Desk
from acoustics.page.reading import Reading, read_file
from acoustics.page.studio import Studio
from acoustics.page.work import Work
from acoustics.studies.live.draft import Draft
from acoustics.studies.live.stopping import Stopped, never

if TYPE_CHECKING:
    from acoustics.page.tab import Tab


class Opened:
    """What all tabs share.

    `log` takes words for the terminal, `last` is what was read last. The event loop owns `tabs`;
    files are read and written by one thread at a time, under `filing`, and `changed` is set when
    the file was written.
    """

    def __init__(self, path: str | Path, studio: Studio, log: Callable[[str], None]) -> None:
        self.studio = studio
        self.log = log
        self.tabs: set[Tab] = set()
        self.filing = asyncio.Lock()
        self.changed = asyncio.Event()
        self.work = Work()
        self._desks = WeakValueDictionary[tuple[str, str], Desk]()
        self._known = dict[str, Reading]()
        self.last = self.desk_of(read_file(path))
        self.file = self.last.reading.file

    def read(self) -> Desk:
        """The desk for the file as it is now.

        Raises:
            CaseError: the file cannot be read, or is no valid case.
        """
        self.last = self.desk_of(read_file(self.file))
        return self.last

    def desk_of(self, reading: Reading) -> Desk:
        """The desk for a reading: that of another tab if it read the same."""
        key = reading.seen, reading.case.digest
        desk = self._desks.get(key)
        if desk is None:
            desk = self._desks[key] = Desk(reading, self.studio)
            self.prepare_first(desk)
        if reading.seen not in self._known:
            self.note(reading.seen, reading)
        return desk

    def note(self, seen: str, base: Reading) -> None:
        """Keep what a draft was begun with by a tab that was told this digest of the file."""
        self._known[seen] = base
        while len(self._known) > REMEMBERED:
            del self._known[next(iter(self._known))]

    def known(self, seen: str) -> Reading | None:
        """A reading that a tab, perhaps one that lost its connection, was told of."""
        return self._known.get(seen)

    def prepare_first(self, desk: Desk) -> None:
        """Ask the fields for the design as the file has it, before anybody moves anything."""

        def prepare() -> None:
            try:
                self.prepare(desk, desk.draft, never)
            except Exception as error:  # whatever it is, drafts are heard without
                self.log(_told(error))

        self.work.fields.put(desk, prepare)

    def prepare(self, desk: Desk, draft: Draft, unwanted: Callable[[], bool]) -> None:
        """Ask the fields for a draft, in the thread of fields; all tabs at the desk are told.

        Errors are those of the draft and are told where it is heard.
        """

        def told(share: float) -> None:
            # All is there only once the engine says so by returning.
            self._share(desk, min(share, ALMOST))

        with suppress(Stopped, RoundoverError):
            told(0.0)
            desk.engine.prepare(draft, self.work.after_exact(unwanted), told)
            self._share(desk, 1.0)

    def _share(self, desk: Desk, share: float) -> None:
        desk.share = share
        for tab in tuple(self.tabs):
            tab.tell_ready(desk, share)

    def unexpected(self, tab: Tab, error: Exception) -> None:
        """Say on the terminal and on the page that something went wrong that should not."""
        self.log(_told(error))
        tab.trouble(f"{_told(error)} What you set is still here and can be saved.")

    def close(self) -> None:
        """End the threads."""
        self.work.close()


def _told(error: Exception) -> str:
    """An error that should not be, in one line."""
    said = f"{type(error).__name__}: {error}".splitlines()[0][:LONGEST_WORDS]
    return f"Something went wrong in the program itself ({said}). The page goes on."
