"""The page as an application: its index, its files by name, and the connection to each tab."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Mapping
from contextlib import asynccontextmanager, suppress

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route, WebSocketRoute
from starlette.types import ASGIApp
from starlette.websockets import WebSocket

from acoustics.page.assets import INDEX, Asset
from acoustics.page.guard import Guard, Keys
from acoustics.page.opened import Opened
from acoustics.page.talk import talk
from acoustics.page.watching import watch


def page_app(opened: Opened, assets: Mapping[str, Asset], port: int, keys: Keys) -> ASGIApp:
    """The application for one open file.

    Args:
        opened: the file; its threads end with the application.
        assets: files that are given out, by name; INDEX is the page.
        port: under which the browser knows the server.
        keys: without which nothing is given out.
    """

    async def asset(request: Request) -> Response:
        found = assets.get(request.path_params.get("name", INDEX))
        if found is None:
            return PlainTextResponse("There is no such file.\n", 404)
        return Response(found.content, headers={"content-type": found.kind})

    async def live(socket: WebSocket) -> None:
        await talk(socket, opened)

    @asynccontextmanager
    async def lifespan(_: Starlette) -> AsyncIterator[None]:
        watching = asyncio.ensure_future(watch(opened))
        try:
            yield
        finally:
            watching.cancel()
            with suppress(asyncio.CancelledError):
                await watching
            opened.close()

    routes = [
        Route("/", asset),
        WebSocketRoute("/live", live),
        Route("/{name:str}", asset),
    ]
    inner = Starlette(routes=routes, lifespan=lifespan)
    inner.router.redirect_slashes = False
    return Guard(inner, port, keys)
