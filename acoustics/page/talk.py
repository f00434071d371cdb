"""One connection: messages in, and what each of them makes the tab do."""

from __future__ import annotations

import asyncio
import time
from contextlib import suppress

from starlette.websockets import WebSocket, WebSocketDisconnect

from acoustics.conventions import RoundoverError
from acoustics.page.bounds import FLOOD, LARGEST_MESSAGE, MESSAGES_PER_SECOND, MOST_TABS
from acoustics.page.filing import read_again, save, welcome
from acoustics.page.messages import (
    Hear,
    Map,
    Message,
    NoMap,
    NotUnderstoodError,
    ReadFile,
    Save,
    read_message,
)
from acoustics.page.opened import Opened
from acoustics.page.outbox import TooSlowError
from acoustics.page.tab import Tab

NO_BYTES, NOT_SO, TOO_LARGE, LATER = 1003, 1008, 1009, 1013
"""WebSocket close codes (RFC 6455, 7.4.1; 1013 from the IANA registry of them)"""


class Closing(Exception):  # noqa: N818 - an end of the conversation, not always a fault
    """The connection is to end, with a code and words."""

    def __init__(self, code: int, words: str) -> None:
        super().__init__(words)
        self.code = code


async def talk(socket: WebSocket, opened: Opened) -> None:
    """Serve one tab until it goes."""
    await socket.accept()
    if len(opened.tabs) >= MOST_TABS:
        await _end(socket, Closing(LATER, f"{MOST_TABS} tabs are open already; close one of them."))
        return
    tab = Tab(opened, opened.last)
    opened.tabs.add(tab)
    try:
        await welcome(tab)
        await _both_ways(socket, tab)
    except WebSocketDisconnect:
        pass
    except Closing as closing:
        await _end(socket, closing)
    finally:
        opened.tabs.discard(tab)
        tab.leave()


async def _both_ways(socket: WebSocket, tab: Tab) -> None:
    """Listen and speak until one of the two ends, and raise what ended it."""
    ways = [asyncio.ensure_future(way(socket, tab)) for way in (_listen, _speak)]
    try:
        done, _ = await asyncio.wait(ways, return_when=asyncio.FIRST_COMPLETED)
        for way in done:
            way.result()
    finally:
        for way in ways:
            way.cancel()
        await asyncio.gather(*ways, return_exceptions=True)


async def _speak(socket: WebSocket, tab: Tab) -> None:
    while True:
        try:
            frame = await tab.outbox.next()
        except TooSlowError:
            raise Closing(NOT_SO, "The page does not take what it is sent.") from None
        if isinstance(frame, bytes):
            await socket.send_bytes(frame)
        else:
            await socket.send_text(frame)


async def _listen(socket: WebSocket, tab: Tab) -> None:
    """Take messages; of those beyond the rate only the newest `hear`, as soon as it may be."""
    pace, late = Pace(), asyncio.ensure_future(asyncio.sleep(0))
    try:
        while True:
            message = await _received(socket, tab, pace)
            if message is None:
                continue
            late.cancel()  # an older one
            if pace.allows():
                await _do(tab, message)
            elif isinstance(message, Hear):
                late = asyncio.ensure_future(_later(tab, message, pace))
            else:
                tab.trouble(f"More than {MESSAGES_PER_SECOND} messages came in a second.")
    finally:
        late.cancel()
        with suppress(asyncio.CancelledError):
            await late


async def _later(tab: Tab, message: Hear, pace: Pace) -> None:
    while not pace.allows():
        await asyncio.sleep(1.0 / MESSAGES_PER_SECOND)
    await _do(tab, message)


async def _received(socket: WebSocket, tab: Tab, pace: Pace) -> Message | None:
    """The next message; None for one that is not understood, which is told."""
    event = await socket.receive()
    if event["type"] == "websocket.disconnect":
        raise WebSocketDisconnect(event.get("code", 1000))
    if pace.flooded():
        raise Closing(NOT_SO, "Far too many messages came at once.")
    text = event.get("text")
    if text is None:
        raise Closing(NO_BYTES, "Messages to the program are text.")
    if len(text) > LARGEST_MESSAGE or len(text.encode(errors="replace")) > LARGEST_MESSAGE:
        raise Closing(TOO_LARGE, f"A message had more than {LARGEST_MESSAGE} bytes.")
    try:
        return read_message(text)
    except NotUnderstoodError as error:
        tab.trouble(str(error))
        return None


async def _do(tab: Tab, message: Message) -> None:
    try:
        match message:
            case Hear():
                tab.hear(message)
            case Map():
                tab.map(message)
            case NoMap():
                tab.forget_map()
            case Save():
                tab.later(save(tab, message))
            case ReadFile():
                tab.later(read_again(tab))
    except (NotUnderstoodError, RoundoverError) as error:
        tab.trouble(str(error))


async def _end(socket: WebSocket, closing: Closing) -> None:
    """Say why, and close."""
    with suppress(WebSocketDisconnect, RuntimeError):
        await socket.send_json({"say": "trouble", "words": str(closing)})
        await socket.close(closing.code, str(closing))


class Pace:
    """How many messages came of late: `MESSAGES_PER_SECOND`, and as many at once."""

    def __init__(self) -> None:
        self._free = float(MESSAGES_PER_SECOND)
        self._came = 0.0
        self._seen = time.monotonic()

    def _wait(self) -> None:
        now = time.monotonic()
        gained = (now - self._seen) * MESSAGES_PER_SECOND
        self._seen = now
        self._free = min(self._free + gained, MESSAGES_PER_SECOND)
        self._came = max(self._came - gained * FLOOD, 0.0)

    def allows(self) -> bool:
        """Whether one more may be answered now; it is counted then."""
        self._wait()
        if self._free < 1.0:
            return False
        self._free -= 1.0
        return True

    def flooded(self) -> bool:
        """Count one that came; whether they are `FLOOD` times as many as may be."""
        self._wait()
        self._came += 1.0
        return self._came > FLOOD * MESSAGES_PER_SECOND
