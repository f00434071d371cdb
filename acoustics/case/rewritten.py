"""The text of a case with another crossover, its comments kept, for a folder of its own."""

from __future__ import annotations

import os
import pathlib
import re
from collections.abc import Mapping, Sequence
from typing import Any

import tomlkit
from tomlkit.items import AoT, Array, Comment, InlineTable, Table, Whitespace

from acoustics.case.network_model import Element

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

REMOVED = ("sweep",)
"""Tables that name keys of the crossover that was."""

_SCHEMA = re.compile(r"(?m)^(#:schema )(\S+)$")

_DIGITS = 3
"""of a coil's resistance and the like: nobody knows them better"""


def with_passive_crossover(
    text: str,
    ladders: Mapping[str, Sequence[Element]],
    inverted: Mapping[str, bool],
    title: str,
    folders: tuple[pathlib.Path, pathlib.Path],
) -> str:
    """A case file's text with other passive branches, a title of its own, and paths that lead on.

    Args:
        text: of the case file.
        ladders: by driver, the elements from the amplifier on.
        inverted: by driver, whether its branch turns the polarity round.
        title: of the new case.
        folders: of the case file and of the new one.
    """
    document = tomlkit.parse(text)
    document["title"] = title
    for name in REMOVED:
        document.pop(name, None)
    if "crossover" not in document:
        document["crossover"] = tomlkit.table(is_super_table=True)
    crossover: Any = document["crossover"]
    for driver, ladder in ladders.items():
        branch = _branch(ladder, inverted[driver])
        for item in _before_the_next(crossover.get(driver)):
            branch.add(item)
        crossover[driver] = branch
    _lead_on(document, *folders)
    return _SCHEMA.sub(
        lambda found: found[1] + _from_elsewhere(found[2], *folders), tomlkit.dumps(document)
    )


def _branch(ladder: Sequence[Element], inverted: bool) -> Table:
    table = tomlkit.table()
    table.add(tomlkit.comment("Fitted; a comment above may tell of what was here before."))
    table["slopes"] = "passive"
    table["polarity"] = "inverted" if inverted else "normal"
    parts: Array = tomlkit.array()
    for element in ladder:
        parts.append(_part(element))
    table["parts"] = parts.multiline(True)
    return table


def _before_the_next(table: Any) -> list[Comment | Whitespace]:
    """The comments and empty lines at the end of a table, which speak of what comes next."""
    found = list[Comment | Whitespace]()
    for key, item in reversed(table.value.body if isinstance(table, Table) else []):
        if key is not None or not isinstance(item, Comment | Whitespace):
            break
        found.append(item)
    return found[::-1]


def _part(element: Element) -> InlineTable:
    """An element as it is written in a list of parts."""
    part = tomlkit.inline_table()
    if element.place is not None:
        part["place"] = element.place
    if element.between is not None:
        part["between"] = list(element.between)
    for key, factor, unit in (
        ("inductor", 1e3, "mH"),
        ("capacitor", 1e6, "uF"),
        ("second_capacitor", 1e6, "uF"),
        ("resistor", 1.0, "ohm"),
        ("second_resistor", 1.0, "ohm"),
    ):
        value = getattr(element, key)
        if value is not None:
            part[key] = f"{factor * value:.6g} {unit}"
    if element.resistance:
        part["resistance"] = f"{element.resistance:.{_DIGITS}g} ohm"
    if element.core_resistance is not None:
        part["core_resistance"] = f"{element.core_resistance:.6g} ohm"
    if element.joined != "one after the other":
        part["joined"] = element.joined
    if element.name:
        part["name"] = element.name
    return part


def _lead_on(item: Any, old: pathlib.Path, new: pathlib.Path) -> None:
    """Count every path in a document from the new folder instead of the old one."""
    for key, value in _entries(item):
        if key in PATH_KEYS:
            _lead_all_on(item, key, value, old, new)
        else:
            _lead_on(value, old, new)


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
