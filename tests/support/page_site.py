"""The page's server in this process, over a copy of a shipped case, with studies from a script."""

from __future__ import annotations

import json
import struct
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from queue import Empty
from typing import Any

import numpy as np

from acoustics.page.app import page_app
from acoustics.page.guard import Keys
from acoustics.page.opened import Opened
from support.asgi_client import Answer, Host, Socket
from support.cases import shipped_text
from support.scripted_studio import PLACEHOLDER, Script

PORT = 8123
HOST = f"127.0.0.1:{PORT}"
ORIGIN = f"http://{HOST}"


class Line:
    """One tab's connection; messages that were not waited for are in `passed`."""

    def __init__(self, socket: Socket) -> None:
        self.socket = socket
        self.passed: list[dict[str, Any]] = []

    def ask(self, what: str, **more: Any) -> None:
        self.socket.send(json.dumps({"ask": what, **more}))

    def next(self) -> dict[str, Any]:
        """The next message; of a binary one the header, with its arrays by name."""
        event = self.socket.receive()
        if event.get("text") is not None:
            return json.loads(event["text"])
        return unpacked(event["bytes"])

    def until(self, say: str, **about: Any) -> dict[str, Any]:
        """The next message that says this, with these values."""
        while True:
            try:
                message = self.next()
            except Empty:
                told = [{**each, "arrays": ...} for each in self.passed if each["say"] != "design"]
                raise AssertionError(f"nothing says {say!r} {about}, only {told}") from None
            if message["say"] == say and all(message[key] == about[key] for key in about):
                return message
            self.passed.append(message)

    def begun(self) -> dict[str, Any]:
        """The design, which comes first."""
        design = self.next()
        assert design["say"] == "design"
        return design


class Site:
    """A running server and what it serves."""

    def __init__(self, path: Path, script: Script) -> None:
        self.path = path
        self.script = script
        self.log: list[str] = []
        self.keys = Keys()
        self.opened = Opened(path, script.studio(), self.log.append)
        self.host = Host(page_app(self.opened, PLACEHOLDER, PORT, self.keys), HOST)
        self.cookie = f"roundover-{PORT}={self.keys.key}"

    def get(self, target: str, method: str = "GET", **headers: str) -> Answer:
        """What somebody who has the key is given."""
        return self.host.request(target, method, **{"cookie": self.cookie, **headers})

    @contextmanager
    def tab(self, **headers: str) -> Iterator[Line]:
        """The connection of a tab that has the key."""
        given = {"origin": ORIGIN, "cookie": self.cookie, **headers}
        socket = Socket(self.host, self.host.headers(given))
        try:
            yield Line(socket)
        finally:
            socket.close()


@contextmanager
def running(folder: Path, script: Script | None = None) -> Iterator[Site]:
    """A server over a copy of cases/compact-centred in a folder."""
    path = folder / "case.toml"
    path.write_text(shipped_text("compact-centred"), encoding="utf-8")
    site = Site(path, script or Script())
    with site.host.living():
        yield site


def unpacked(data: bytes) -> dict[str, Any]:
    """Header and arrays of a binary message, read as the protocol says."""
    (length,) = struct.unpack_from("<I", data)
    assert length % 4 == 0
    header = json.loads(data[4 : 4 + length])
    at = 4 + length
    arrays = {}
    for name, shape in header["arrays"]:
        count = int(np.prod(shape))
        arrays[name] = np.frombuffer(data, "<f4", count, at).reshape(shape)
        at += 4 * count
    assert at == len(data)
    return {**header, "arrays": arrays}
