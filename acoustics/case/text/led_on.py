"""Paths in a case file rewritten so that they hold from another folder."""

from __future__ import annotations

import os
import pathlib
import re
from collections.abc import Mapping
from typing import Any

import tomlkit
from tomlkit.items import AoT

PATH_KEYS = frozenset(
    {
        "calibration",
        "far",
        "file",
        "impedance",
        "near",
        "near_ports",
        "response",
        "sweep_file",
        "taps_file",
    }
)
"""Keys whose text, and all text below them, is a path counted from the folder of the file."""

PATHS_BELOW = frozenset({"near_ports"})
"""Those of them that may be tables of paths; any other table only bears such a name."""

_SCHEMA = re.compile(r"(?m)^(#:schema )(\S+)$")


def led_on_text(document: tomlkit.TOMLDocument, old: pathlib.Path, new: pathlib.Path) -> str:
    """The text of a case file of `old` for the folder `new`: every path in it leads on."""
    lead_on(document, old, new)
    return _SCHEMA.sub(
        lambda found: found[1] + _from_elsewhere(found[2], old, new), tomlkit.dumps(document)
    )


def lead_on(item: Any, old: pathlib.Path, new: pathlib.Path) -> None:
    """Count every path in a document from the new folder instead of the old one."""
    for key, value in _entries(item):
        if key in PATH_KEYS and not (isinstance(value, Mapping) and key not in PATHS_BELOW):
            _lead_all_on(item, key, value, old, new)
        else:
            lead_on(value, old, new)


def _lead_all_on(item: Any, key: Any, value: Any, old: pathlib.Path, new: pathlib.Path) -> None:
    """Count a path, or every one in a list or table, from the new folder."""
    if isinstance(value, str):
        item[key] = _from_elsewhere(value, old, new)
    for inner, below in _entries(value):
        _lead_all_on(value, inner, below, old, new)


def _entries(item: Any) -> list[tuple[Any, Any]]:
    """Keys and values of a table, places and entries of a list; nothing of anything else."""
    if isinstance(item, Mapping):
        return list(item.items())
    return list(enumerate(item)) if isinstance(item, list | AoT) else []


def _from_elsewhere(path: str, old: pathlib.Path, new: pathlib.Path) -> str:
    """A path counted from `old`, counted from `new`; absolute where no relative one leads there."""
    if pathlib.PurePath(path).is_absolute():
        return path
    target = (old / path).resolve()
    try:
        return pathlib.Path(os.path.relpath(target, new.resolve())).as_posix()
    except ValueError:
        return target.as_posix()
