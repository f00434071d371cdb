"""One tab of a browser: what it asked last, and what it is told."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable, Coroutine, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from functools import partial
from typing import Any

from acoustics.conventions import RoundoverError
from acoustics.page.bounds import FIGURES_FOLLOW
from acoustics.page.checked import checked_draft
from acoustics.page.desk import Desk
from acoustics.page.frames import curves_frame, map_frame, text_frame
from acoustics.page.messages import Hear, Map, NotUnderstoodError
from acoustics.page.opened import Opened
from acoustics.page.outbox import Frame, Outbox
from acoustics.page.reading import Reading
from acoustics.page.words import words_of
from acoustics.studies.live.curves import DraftCurves
from acoustics.studies.live.draft import Draft
from acoustics.studies.live.stopping import Stopped


@dataclass(frozen=True)
class Wanted:
    """A draft that somebody waits to hear."""

    serial: int
    draft: Draft
    held: bool
    desk: Desk


class Tab:
    """What is asked and answered over one connection.

    `base` is what was read where the draft began, with what was saved since: it is what saving
    compares with. Of the file's digests, `said` are all that the tab was told since, `told_of` is
    the newest, None before there is any, and `clashed` that with which its last save clashed. The
    event loop calls what asks; answers come from the threads of `Work`, which look at `wanted` to
    know whether they are still of use.
    """

    def __init__(self, opened: Opened, desk: Desk) -> None:
        self.opened = opened
        self.outbox = Outbox()
        self.desk = desk
        self.base: Reading = desk.reading
        self.said = set[str]()
        self.told_of: str | None = None
        self.clashed = ""
        self.wanted: Wanted | None = None
        self.mapped: Map | None = None
        self._coarse: Wanted | None = None
        self._figured = float("-inf")
        self._tasks = set[asyncio.Task[None]]()
        self._loop = asyncio.get_running_loop()

    # What the tab is told, from any thread.

    def tell(self, message: Mapping[str, Any], kind: str = "") -> None:
        """Send a message; of a `kind` only the newest."""
        self._send(text_frame(message), kind)

    def trouble(self, words: str) -> None:
        """Tell what a person should know."""
        self.tell({"say": "trouble", "words": words}, "trouble")

    def tell_ready(self, desk: Desk, share: float) -> None:
        """Tell how far the fields are prepared, if they are those of this tab."""
        if desk is self.desk:
            self.tell({"say": "ready", "share": round(share, 3)}, "ready")

    def sit_down(self, desk: Desk) -> None:
        """Go on with another reading of the file, and tell it."""
        self.desk, self.base = desk, desk.reading
        self.said = set()
        self.know(desk.reading.seen)
        self.wanted = None
        self.forget_map()
        compiled = self.opened.studio.is_compiled()
        self.tell({**desk.design, "compiled": compiled}, "design")
        self.tell_ready(desk, desk.share)

    def know(self, seen: str) -> None:
        """Note a digest of the file that the tab is being told."""
        self.told_of = seen
        self.said.add(seen)

    def _send(self, frame: Frame, kind: str = "") -> None:
        with suppress(RuntimeError):  # the loop has ended, and with it the tab
            self._loop.call_soon_threadsafe(self.outbox.put, frame, kind)

    def _soon(self, work: Callable[[], None]) -> None:
        """Do something in the event loop when figures are due."""
        with suppress(RuntimeError):  # as above
            self._loop.call_soon_threadsafe(self._loop.call_later, FIGURES_FOLLOW, work)

    # What it asks.

    def draft(self, sent: Any) -> Draft:
        """A draft that was sent.

        Raises:
            NotUnderstoodError: it is none of this design.
        """
        return checked_draft(sent, self.desk.design)

    def hear(self, asked: Hear) -> None:
        """Answer at once; later, if the hand has let go, exactly.

        Raises:
            NotUnderstoodError: it is no draft of this design.
        """
        wanted = Wanted(asked.serial, self.draft(asked.draft), asked.held, self.desk)
        self.wanted = wanted
        work = self.opened.work
        work.hand(asked.held)
        work.exact.drop(self)
        work.live.put(self, partial(self._answer, wanted))

    def map(self, asked: Map) -> None:
        """Draw a map, in the background.

        Raises:
            NotUnderstoodError: it is no draft of this design, or no such driver or metric.
        """
        draft = self.draft(asked.draft)
        if asked.driver not in [driver["name"] for driver in self.desk.design["drivers"]]:
            raise NotUnderstoodError("A map was asked for of a driver that is not there.")
        if asked.by not in [metric["by"] for metric in self.desk.design["map_metrics"]]:
            raise NotUnderstoodError("A map was asked for by something that is not mapped.")
        self.mapped = asked
        self.opened.work.maps.put(self, partial(self._map, asked, draft, self.desk))

    def forget_map(self) -> None:
        """The map is not wanted any more."""
        self.mapped = None
        self.opened.work.maps.drop(self)

    def later(self, work: Coroutine[Any, Any, None]) -> None:
        """Do something with the file, while messages go on being taken."""
        task = asyncio.ensure_future(self._told(work))
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)

    async def _told(self, work: Coroutine[Any, Any, None]) -> None:
        try:
            await work
        except NotUnderstoodError as error:
            self.trouble(str(error))
        except Exception as error:  # the other tabs go on
            self.opened.unexpected(self, error)

    def leave(self) -> None:
        """Nobody waits any more."""
        self.wanted = None
        self.forget_map()
        self.opened.work.live.drop(self)
        self.opened.work.exact.drop(self)
        self.opened.work.fields.drop(self)

    # What the threads do.

    def _answer(self, wanted: Wanted) -> None:
        with self._guarded(wanted.serial):
            if wanted is not self.wanted:
                return
            known = wanted.desk.exact(wanted.draft)
            started = time.perf_counter()
            figured = not wanted.held or started - self._figured > FIGURES_FOLLOW
            curves = known or wanted.desk.engine.quick(wanted.draft, figured)
            self._show(wanted, curves, started)
            if not curves.figures:
                self._soon(partial(self._figures, wanted))
            if known is None and not wanted.held:
                self.opened.work.exact.put(self, partial(self._exactly, wanted))

    def _figures(self, wanted: Wanted) -> None:
        """The hand holds still: tell the figures too."""
        if wanted is self.wanted:
            self.opened.work.live.put(self, partial(self._again, wanted))

    def _exactly(self, wanted: Wanted) -> None:
        """The prediction; the fields are then asked for what was set, or brought up to it."""
        desk, draft = wanted.desk, wanted.draft

        def unwanted() -> bool:
            return wanted is not self.wanted

        with self._guarded(wanted.serial):
            if unwanted():
                return
            self.opened.work.fields.put(self, partial(self._fields, wanted))
            started = time.perf_counter()
            self.tell(_busy("exact", wanted.serial, 0.0), "busy")
            stop = self.opened.work.gives_way(unwanted)
            curves = self.opened.studio.exact_curves(desk.case, draft, stop)
            desk.remember(draft, curves)
            if not unwanted():
                self._show(wanted, curves, started)

    def _fields(self, wanted: Wanted) -> None:
        """Ask the fields, so that a hand can go on from here; better curves if one is at it."""
        desk, draft = wanted.desk, wanted.draft

        def other_fields() -> bool:
            now = self.wanted
            return now is None or now.desk is not desk or _fields(now.draft) != _fields(draft)

        with self._guarded(wanted.serial):
            if desk.engine.ready(draft):
                stop = self.opened.work.after_exact(other_fields)
                desk.engine.prepare(draft, stop, _quietly)
                return
            self.opened.prepare(desk, draft, other_fields)
            now = self.wanted
            if self._coarse is now is not None and desk.engine.ready(draft):
                self.opened.work.live.put(self, partial(self._again, now))

    def _again(self, wanted: Wanted) -> None:
        """Better curves of the same, now that the fields are there."""
        with self._guarded(wanted.serial):
            if wanted is self.wanted:
                started = time.perf_counter()
                self._show(wanted, wanted.desk.engine.quick(wanted.draft), started)

    def _show(self, wanted: Wanted, curves: DraftCurves, started: float) -> None:
        if curves.state != "exact" and wanted.desk.exact(wanted.draft) is not None:
            return  # something better was sent meanwhile
        if curves.figures:
            self._figured = started
        self._coarse = wanted if curves.state == "coarse" else None
        # Words come as often as figures: both take a part of an answer, and nobody reads faster.
        warnings = None
        if curves.figures:
            warnings = self.opened.studio.why_not(wanted.desk.case, wanted.draft)
        took = time.perf_counter() - started
        self._send(curves_frame(wanted.serial, curves, warnings, took), "curves")

    def _map(self, asked: Map, draft: Draft, desk: Desk) -> None:
        def unwanted() -> bool:
            return asked is not self.mapped

        def told(share: float) -> None:
            self.tell(_busy("map", asked.serial, share), "busy map")

        with self._guarded(None):
            if unwanted():
                return
            told(0.0)
            stop = self.opened.work.gives_way(unwanted, to_exact=True)
            found = self.opened.studio.map_under(
                desk.case, draft, asked.driver, asked.by, stop, told
            )
            if not unwanted():
                self._send(map_frame(asked.serial, asked.driver, asked.by, found), "map")

    @contextmanager
    def _guarded(self, serial: int | None) -> Iterator[None]:
        """Tell what goes wrong, and go on; `serial` is that of a draft that is heard."""
        try:
            yield
        except Stopped:
            pass
        except RoundoverError as error:
            if serial is None:
                self.trouble(" ".join(words_of(error)))
                return
            self.tell({"say": "refused", "serial": serial, "why": words_of(error)}, "refused")
        except Exception as error:  # whatever it is, the other tabs go on
            self.opened.unexpected(self, error)


def _fields(draft: Draft) -> tuple[object, ...]:
    """What the fields that are asked once depend on."""
    return draft.ear_height, draft.distance, draft.edges


def _quietly(_: float) -> None:
    """Tell nobody of progress that nobody waits for."""


def _busy(what: str, serial: int, share: float) -> dict[str, Any]:
    return {"say": "busy", "what": what, "serial": serial, "share": round(share, 3)}
