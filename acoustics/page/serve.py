"""The server on this machine alone, from the first request to the interruption."""

from __future__ import annotations

import errno
import os
import socket
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path

import uvicorn

from acoustics.conventions import RoundoverError
from acoustics.page.app import page_app
from acoustics.page.assets import Asset, read_assets
from acoustics.page.bounds import LARGEST_MESSAGE, PING
from acoustics.page.guard import KEY, Keys
from acoustics.page.opened import Opened
from acoustics.page.studio import Studio

HERE = "127.0.0.1"
"""the address to which only this machine can connect"""


def serve(
    case: str | Path,
    port: int,
    started: Callable[[str, str], None],
    log: Callable[[str], None],
    studio: Studio,
    assets: Mapping[str, Asset] | None = None,
) -> None:
    """Serve the page of a case until interrupted.

    Args:
        case: a case file, or a folder that holds case.toml.
        port: 0 for any that is free.
        started: told the page's address, and one that opens it a single time, once connections
            are taken.
        log: takes words for the terminal.
        studio: what computes.
        assets: what is given out; the package's files unless told.

    Raises:
        CaseError: the case cannot be read.
        RoundoverError: the port cannot be had.
        KeyboardInterrupt: the person has had enough.
    """
    with listening(port) as listener:
        opened = Opened(case, studio, log)
        try:
            port, keys = listener.getsockname()[1], Keys()
            app = page_app(opened, read_assets() if assets is None else assets, port, keys)
            at = f"http://{HERE}:{port}/?{KEY}="
            announce = partial(started, at + keys.key, at + keys.once())
            Announced(server_settings(app), announce).run(sockets=[listener])
        finally:
            opened.close()


class Announced(uvicorn.Server):
    """A server that says so once it takes connections and knows how to be interrupted."""

    def __init__(self, config: uvicorn.Config, announce: Callable[[], None]) -> None:
        super().__init__(config)
        self._announce = announce

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Begin to serve."""
        await super().startup(sockets=sockets)
        self._announce()


def server_settings(app: object) -> uvicorn.Config:
    """How the server is run: small messages, silence asked after, nothing told on the terminal."""
    return uvicorn.Config(
        app,  # type: ignore[arg-type]
        loop="asyncio",
        http="h11",
        ws="websockets-sansio",
        ws_max_size=LARGEST_MESSAGE,
        ws_ping_interval=PING,
        ws_ping_timeout=PING,
        ws_per_message_deflate=False,  # nothing is saved by it within one machine
        lifespan="on",
        log_config=None,
        log_level="error",
        access_log=False,
        proxy_headers=False,
        server_header=False,
        date_header=False,
        timeout_graceful_shutdown=1,
    )


def listening(port: int) -> socket.socket:
    """A socket on this machine that takes connections.

    Raises:
        RoundoverError: the port is taken, or not to be had.
    """
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        if os.name == "posix":  # there it lets nobody share the port, and one need not wait
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind((HERE, port))
        listener.listen()
    except OSError as error:
        listener.close()
        taken = error.errno == errno.EADDRINUSE
        why = "is taken by another program" if taken else f"cannot be had ({error.strerror})"
        raise RoundoverError(
            f"--port {port}: the port {why}; choose another, or leave --port out for any free one"
        ) from None
    return listener
