"""Who may talk to the server: pages that it gave out itself, to whoever was told the key.

Any page of the web can make a browser send requests to this machine, and a name server can make a
foreign name lead here: so the Host and the Origin have to be ours. Other people's programs on the
same machine can send any header: as the server reads a person's file and writes it with that
person's rights, they have to know a key, which stands in the address that the terminal shows and is
kept by the browser in a cookie. Opening a browser shows its arguments to everybody on the machine;
the address that is handed over there therefore opens once.
"""

from __future__ import annotations

import hmac
import secrets
from collections.abc import Iterable
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qs

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse, RedirectResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

NAMES = ("127.0.0.1", "localhost", "[::1]")
"""under which this machine knows itself"""

HTTP_PORT = 80
"""which browsers leave out of addresses"""

FORBIDDEN = 403
POLICY_VIOLATION = 1008
"""WebSocket close code (RFC 6455, 7.4.1); before the connection stands it becomes a 403"""

KEY = "key"
NO_KEY = "Open the address that `roundover page` printed in the terminal.\n"


class Keys:
    """The key of one run, and addresses with it."""

    def __init__(self, key: str | None = None) -> None:
        self.key = key or secrets.token_urlsafe(24)
        self._once = set[str]()

    def once(self) -> str:
        """A key that opens the page a single time."""
        made = secrets.token_urlsafe(24)
        self._once.add(made)
        return made

    def opens(self, given: str) -> bool:
        """Whether an address with this key opens the page; one for a single time has then done."""
        if _same(given, self.key):
            return True
        if given in self._once:
            self._once.remove(given)
            return True
        return False

    def held(self, given: str) -> bool:
        """Whether a cookie has the key."""
        return _same(given, self.key)


class Guard:
    """Lets through what comes from our own page, and gives every answer the headers of caution."""

    def __init__(self, app: ASGIApp, port: int, keys: Keys) -> None:
        self.app = app
        self.keys = keys
        self.cookie = f"roundover-{port}"
        shown = [f"{name}:{port}" for name in NAMES]
        self.hosts = frozenset([*shown, *NAMES] if port == HTTP_PORT else shown)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, refuse, or hand on."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        host = headers.get("host", "")
        upgrade = scope["type"] == "websocket"
        refused = self._refused(headers, upgrade)
        holds = self._holds_key(headers)
        if upgrade:
            if refused or not holds:
                await send({"type": "websocket.close", "code": POLICY_VIOLATION})
            else:
                await self.app(scope, receive, send)
            return
        answer = self.app
        if refused:
            answer = PlainTextResponse("This page talks to itself alone.\n", FORBIDDEN)
        elif scope["path"] == "/" and (given := _key_in(scope)) is not None:
            answer = self._opened(holds or self.keys.opens(given))
        elif not holds:
            answer = PlainTextResponse(NO_KEY, FORBIDDEN)

        async def send_carefully(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(cautions(host if not refused else ""))
            await send(message)

        await answer(scope, receive, send_carefully)

    def _refused(self, headers: Headers, upgrade: bool) -> bool:
        """Whether a request is for somebody else, or from a page of somebody else."""
        hosts, origins = headers.getlist("host"), headers.getlist("origin")
        if len(hosts) != 1 or hosts[0].lower() not in self.hosts:
            return True
        if not origins:
            return upgrade  # a browser always tells it there, and never where it follows a link
        return origins != [f"http://{hosts[0].lower()}"]

    def _holds_key(self, headers: Headers) -> bool:
        return any(self.keys.held(value) for value in _cookies(headers, self.cookie))

    def _opened(self, rightly: bool) -> ASGIApp:
        if not rightly:
            return PlainTextResponse(NO_KEY, FORBIDDEN)
        answer = RedirectResponse("/", 303)
        answer.set_cookie(self.cookie, self.keys.key, path="/", httponly=True, samesite="strict")
        return answer


def cautions(host: str) -> dict[str, str]:
    """Headers by which a browser lets the page do what it needs, and nothing else.

    Args:
        host: name and port of the server, to which alone the page may connect; empty for a page
            that connects to nothing.
    """
    policy = {
        "default-src": "'none'",
        "script-src": "'self'",
        "style-src": "'self'",
        "img-src": "'self'",
        "font-src": "'self'",
        "connect-src": f"ws://{host}" if host else "'none'",
        "base-uri": "'none'",
        "form-action": "'none'",
        "frame-ancestors": "'none'",
    }
    return {
        "content-security-policy": "; ".join(f"{key} {value}" for key, value in policy.items()),
        "cross-origin-embedder-policy": "require-corp",
        "cross-origin-opener-policy": "same-origin",
        "cross-origin-resource-policy": "same-origin",
        "referrer-policy": "no-referrer",
        "x-content-type-options": "nosniff",
        "x-frame-options": "DENY",
        "permissions-policy": "camera=(), geolocation=(), microphone=()",
        "cache-control": "no-store",
    }


def _cookies(headers: Headers, name: str) -> Iterable[str]:
    for line in headers.getlist("cookie"):
        try:
            found = SimpleCookie(line).get(name)
        except CookieError:
            continue
        if found is not None:
            yield found.value


def _key_in(scope: Scope) -> str | None:
    """The key in a request's address; None where it has none."""
    given = parse_qs(scope["query_string"].decode("latin-1")).get(KEY)
    return given[0] if given else None


def _same(given: str, right: str) -> bool:
    return hmac.compare_digest(given.encode(), right.encode())
