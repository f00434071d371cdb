"""Talks to an application as a server does (ASGI 3.0), without a socket between."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Coroutine, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from queue import Queue
from typing import Any
from urllib.parse import unquote

PATIENCE = 10.0
"""seconds after which a test waits no more"""


@dataclass
class Answer:
    """What came back: header names are in small letters; of a name that came twice the last."""

    status: int
    headers: dict[str, str]
    content: bytes


class Refused(Exception):  # noqa: N818
    """The application did not take a connection, or ended it, with a code."""

    def __init__(self, code: int) -> None:
        super().__init__(code)
        self.code = code


class Socket:
    """One WebSocket connection."""

    def __init__(self, host: Host, headers: list[tuple[bytes, bytes]]) -> None:
        self._host = host
        self._from_app = Queue[dict[str, Any]]()
        self._to_app = asyncio.Queue[dict[str, Any]]()
        scope = host.scope("websocket", "/live", headers)
        self.task = asyncio.run_coroutine_threadsafe(
            host.app(scope, self._to_app.get, self._sent), host.loop
        )
        self.put({"type": "websocket.connect"})
        self.receive()

    async def _sent(self, message: dict[str, Any]) -> None:
        self._from_app.put(message)

    def put(self, event: dict[str, Any]) -> None:
        self._host.loop.call_soon_threadsafe(self._to_app.put_nowait, event)

    def send(self, text: str) -> None:
        self.put({"type": "websocket.receive", "text": text})

    def receive(self) -> dict[str, Any]:
        message = self._from_app.get(timeout=PATIENCE)
        if message["type"] == "websocket.close":
            raise Refused(message["code"])
        return message

    def silent(self, seconds: float) -> bool:
        """Whether nothing comes for a while."""
        threading.Event().wait(seconds)
        return self._from_app.empty()

    def close(self) -> None:
        self.put({"type": "websocket.disconnect", "code": 1001})
        self.task.result(PATIENCE)


class Host:
    """An application with an event loop of its own."""

    def __init__(self, app: Any, shown_as: str) -> None:
        self.app = app
        self.shown_as = shown_as
        self.loop = asyncio.new_event_loop()
        self._thread = threading.Thread(target=self.loop.run_forever)
        self._to_life = asyncio.Queue[dict[str, str]]()
        self._from_life = Queue[dict[str, str]]()

    def run(self, work: Coroutine[Any, Any, Any]) -> Any:
        """What a coroutine gives, in the loop of the application."""
        return asyncio.run_coroutine_threadsafe(work, self.loop).result(PATIENCE)

    @contextmanager
    def living(self) -> Iterator[None]:
        """From start-up to shutdown."""
        self._thread.start()

        async def live() -> None:
            async def sent(message: dict[str, str]) -> None:
                self._from_life.put(message)

            await self.app({"type": "lifespan"}, self._to_life.get, sent)

        life = asyncio.run_coroutine_threadsafe(live(), self.loop)
        try:
            self._life("startup")
            yield
            self._life("shutdown")
            life.result(PATIENCE)
        finally:
            self.loop.call_soon_threadsafe(self.loop.stop)
            self._thread.join(PATIENCE)
            self.loop.close()

    def _life(self, what: str) -> None:
        event = {"type": f"lifespan.{what}"}
        self.loop.call_soon_threadsafe(self._to_life.put_nowait, event)
        assert self._from_life.get(timeout=PATIENCE)["type"] == f"lifespan.{what}.complete"

    def scope(self, kind: str, target: str, headers: list[tuple[bytes, bytes]]) -> dict[str, Any]:
        path, _, query = target.partition("?")
        return {
            "type": kind,
            "asgi": {"version": "3.0"},
            "http_version": "1.1",
            "scheme": "ws" if kind == "websocket" else "http",
            "method": "GET",
            "path": unquote(path),
            "raw_path": path.encode(),
            "query_string": query.encode(),
            "root_path": "",
            "headers": headers,
            "subprotocols": [],
            "client": ("127.0.0.1", 1),
            "server": ("127.0.0.1", 1),
        }

    def request(self, target: str, method: str = "GET", **headers: str) -> Answer:
        """Ask for something; `_` in the names of headers stands for a hyphen."""
        scope = self.scope("http", target, self.headers(headers)) | {"method": method}
        sent: list[dict[str, Any]] = []

        async def ask() -> None:
            async def receive() -> dict[str, Any]:
                return {"type": "http.request", "body": b"", "more_body": False}

            async def send(message: dict[str, Any]) -> None:
                sent.append(message)

            await self.app(scope, receive, send)

        self.run(ask())
        given = {name.decode().lower(): value.decode() for name, value in sent[0]["headers"]}
        return Answer(sent[0]["status"], given, b"".join(each["body"] for each in sent[1:]))

    def headers(self, more: dict[str, str]) -> list[tuple[bytes, bytes]]:
        """Headers as they are in a scope; Host unless told otherwise."""
        every = {"host": self.shown_as, **more}
        return [
            (name.replace("_", "-").encode(), value.encode("latin-1"))
            for name, value in every.items()
            if value is not None
        ]
