"""A server that speaks the live page's protocol, for looks at the page."""

from __future__ import annotations

import asyncio
import copy
import json
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
import uvicorn
from starlette.applications import Starlette
from starlette.responses import FileResponse, Response
from starlette.routing import Route, WebSocketRoute
from starlette.websockets import WebSocket, WebSocketDisconnect

import acoustics.page
from acoustics.studies.live.looks import looks_at
from support.page_sound import curves_of, design

ASSETS = Path(acoustics.page.__file__).parent / "assets"

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
    "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)


def packed(header: dict[str, Any], arrays: dict[str, np.ndarray]) -> bytes:
    """A binary message: its header's length, header, arrays."""
    header["arrays"] = [[name, list(values.shape)] for name, values in arrays.items()]
    text = json.dumps(header).encode()
    text += b" " * (-len(text) % 4)
    parts = [np.asarray(values, "<f4").tobytes() for values in arrays.values()]
    return len(text).to_bytes(4, "little") + text + b"".join(parts)


@contextmanager
def stand_in(**about: Any) -> Iterator[StandIn]:
    """The server, running."""
    server = StandIn(**about)
    server.start()
    yield server
    server.stop()


class StandIn:
    """The server; `said` are the messages it was sent, `others` keys that the file has anew."""

    def __init__(self, **about: Any) -> None:
        self.design = design(**about)
        self.said: list[dict] = []
        self.exact_after = 0.15
        self.state = ""  # in which every curve comes, if any
        self.clashing: dict[str, dict[str, str]] = {}
        self.tabs: set[WebSocket] = set()
        self.port = 0
        self._loop: asyncio.AbstractEventLoop | None = None

    # --- what tests do to it
    def start(self) -> None:
        routes = [
            Route("/", self._index),
            Route("/{name}", self._asset),
            WebSocketRoute("/live", self._live),
        ]
        config = uvicorn.Config(
            Starlette(routes=routes), port=self.port, log_level="critical", lifespan="off"
        )
        self._server = uvicorn.Server(config)
        self._thread = threading.Thread(target=self._server.run, daemon=True)
        self._thread.start()
        while not self._server.started:
            self._thread.join(0.01)
        self.port = self._server.servers[0].sockets[0].getsockname()[1]

    def stop(self) -> None:
        self._server.should_exit = True
        self._server.force_exit = True
        self._thread.join(5)

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}/"

    def tell(self, message: dict) -> None:
        """Send something to every tab."""
        assert self._loop is not None
        for tab in list(self.tabs):
            done = asyncio.run_coroutine_threadsafe(tab.send_text(json.dumps(message)), self._loop)
            done.result(5)

    # --- what it answers
    async def _index(self, request: Any) -> Response:
        return FileResponse(ASSETS / "index.html", headers={"Content-Security-Policy": POLICY})

    async def _asset(self, request: Any) -> Response:
        path = ASSETS / Path(request.path_params["name"]).name
        if not path.is_file():
            return Response(status_code=404)
        return FileResponse(path, headers={"Content-Security-Policy": POLICY})

    async def _live(self, tab: WebSocket) -> None:
        self._loop = asyncio.get_running_loop()
        await tab.accept()
        self.tabs.add(tab)
        exact: asyncio.Task | None = None
        await tab.send_text(json.dumps(self.design))
        try:
            while True:
                message = json.loads(await tab.receive_text())
                self.said.append(message)
                ask = message["ask"]
                if ask == "hear":
                    if exact:
                        exact.cancel()
                    await self._hear(tab, message, "live")
                    if not message["held"]:
                        exact = asyncio.ensure_future(self._exact(tab, message))
                elif ask == "map":
                    await self._map(tab, message)
                elif ask == "save":
                    await self._save(tab, message)
                elif ask == "file":
                    self.clashing = {}
                    await tab.send_text(json.dumps(self.design))
        except WebSocketDisconnect:
            pass
        finally:
            self.tabs.discard(tab)

    def _blocked(self, draft: dict) -> list[str]:
        (one, first), (two, second) = draft["places"].items()
        apart = np.hypot(first[0] - second[0], first[1] - second[1])
        frames = sum(each["frame"] for each in self.design["drivers"])
        return [f"The frames of '{one}' and '{two}' overlap."] if apart < frames else []

    async def _hear(self, tab: WebSocket, message: dict, state: str) -> None:
        draft = message["draft"]
        pistons = sum(each["radius"] for each in self.design["drivers"])
        first, second = draft["places"].values()
        if np.hypot(first[0] - second[0], first[1] - second[1]) < pistons:
            why = ["The cones overlap: this cannot be heard."]
            await tab.send_text(
                json.dumps({"say": "refused", "serial": message["serial"], "why": why})
            )
            return
        arrays, figures = curves_of(draft)
        header = {
            "say": "curves",
            "serial": message["serial"],
            "state": self.state or state,
            "missing": "ports are left out" if self.state == "coarse" else "",
            "warnings": self._blocked(draft),
            "crossovers": draft["corners"],
            "looks": looks_at(np.array(draft["corners"])).tolist(),
            "figures": figures,
            "took": 0.004,
        }
        await tab.send_bytes(packed(header, arrays))

    async def _exact(self, tab: WebSocket, message: dict) -> None:
        busy = {"say": "busy", "what": "exact", "serial": message["serial"], "share": 0.5}
        await tab.send_text(json.dumps(busy))
        await asyncio.sleep(self.exact_after)
        await self._hear(tab, message, "exact")

    async def _map(self, tab: WebSocket, message: dict) -> None:
        driver = next(d for d in self.design["drivers"] if d["name"] == message["driver"])
        (left, right), (low, high) = driver["span"]
        across, up = np.arange(left, right + 1e-9, 0.005), np.arange(low, high + 1e-9, 0.005)
        values = 2.5 + 1.5 * np.cos(across / 0.03) * np.sin(up[:, None] / 0.05)
        values[up < 0.09] = np.nan
        best = np.unravel_index(np.nanargmin(values), values.shape)
        header = {
            "say": "map",
            "serial": message["serial"],
            "driver": message["driver"],
            "by": message["by"],
            "words": "ripple off axis",
            "best": [float(across[best[1]]), float(up[best[0]])],
        }
        await tab.send_bytes(packed(header, {"right": across, "up": up, "values": values}))

    async def _save(self, tab: WebSocket, message: dict) -> None:
        open_ = {k: v for k, v in self.clashing.items() if k not in message["over"]}
        answer: dict[str, Any] = {"serial": message["serial"], "seen": "second"}
        if open_:
            answer |= {"say": "clash", "keys": open_}
        else:
            self.design = copy.deepcopy(self.design) | {
                "draft": message["draft"],
                "seen": "second",
            }
            answer |= {"say": "saved", "keys": {"drivers.tweeter.position": "…"}}
        await tab.send_text(json.dumps(answer))
