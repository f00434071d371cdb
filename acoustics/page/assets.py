"""The files that a browser is given: all are read when the server starts, there are no others."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files

INDEX = "index.html"

KINDS = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
}


@dataclass(frozen=True)
class Asset:
    """A file and what it is."""

    content: bytes
    kind: str


def read_assets() -> Mapping[str, Asset]:
    """Those of the package, by name."""
    found = dict[str, Asset]()
    for each in (files("acoustics.page") / "assets").iterdir():
        kind = next((kind for end, kind in KINDS.items() if each.name.endswith(end)), None)
        if kind is not None and each.is_file():
            found[each.name] = Asset(each.read_bytes(), kind)
    return found
