"""From what pydantic found wrong to faults that a person can act on."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any, NamedTuple

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from acoustics.cabinet.profile import NO_HORNS
from acoustics.case.messages.schema import described_at
from acoustics.case.tables.cabinet_table import NEEDED
from acoustics.case.tables.driver_table import HORNS
from acoustics.case.tables.table import ClashError
from acoustics.case.text.lines import Path
from acoustics.case.text.phrases import choice, listed, nearest
from acoustics.case.text.shown import short_name, shortened

MOST_IN_WORDS = 300
"""of one file; to look for what a key may have been meant for takes a millisecond or two"""

WRONG_TOO = "is wrong, too; correct what is told of the others first"


class Problem(NamedTuple):
    """One thing wrong at a place of the file; it gets its file and line later."""

    path: Path
    message: str


def problems_of(error: ValidationError) -> list[Problem]:
    """Every problem pydantic found, in the order of the file's tables.

    A key that is only misspelt is one problem, not also a missing key or limit.
    """
    misspelt = misspelt_paths(error)
    return [
        Problem(_path(detail), _message(detail) if number < MOST_IN_WORDS else WRONG_TOO)
        for number, detail in enumerate(error.errors(include_url=False))
        if not _follows(detail, misspelt)
    ]


def message_at(error: ValidationError, where: Path) -> str:
    """The first that pydantic found at a path; empty where it found nothing.

    Nothing is spent on what it found elsewhere: a table may have thousands of wrong keys.
    """
    found = (detail for detail in error.errors(include_url=False) if _path(detail) == where)
    detail = next(found, None)
    return "" if detail is None else _message(detail)


def misspelt_paths(error: ValidationError) -> set[Path]:
    """The keys that were meant where a key is unknown."""
    return {
        (*detail["loc"][:-1], near)
        for detail in error.errors(include_url=False)[:MOST_IN_WORDS]
        if detail["type"] == "extra_forbidden"
        if not _is_horn(detail) and _table_of(detail["loc"]) is None
        for near in nearest(str(detail["loc"][-1]), _keys(detail["loc"][:-1]))
    }


def _follows(detail: ErrorDetails, misspelt: set[Path]) -> bool:
    """Whether this is wrong only because a key is misspelt."""
    if detail["type"] == "missing":
        return detail["loc"] in misspelt
    error = detail.get("ctx", {}).get("error")
    if isinstance(error, ClashError):
        others = {(*detail["loc"][:-1], key) for key in error.keys}
        if not others.isdisjoint(misspelt):
            return True
    # TOML has no null: the value is a default. That of at_most stands for both of an aim's limits.
    keys = {detail["loc"][-1]} | ({"at_least"} if detail["loc"][-1] == "at_most" else set())
    meant = {(*detail["loc"][:-1], key) for key in keys}
    return detail["input"] is None and not meant.isdisjoint(misspelt)


def key_text(path: Path) -> str:
    """A path as people read it, counting from 1: "aims.2.band"."""
    return ".".join(str(part + 1) if isinstance(part, int) else short_name(part) for part in path)


def _path(detail: ErrorDetails) -> Path:
    path = detail["loc"]
    if path[-1] == "[key]":
        path = path[:-1]
    # After a filter's section pydantic puts its type, and none where that is wrong.
    at = {"crossover": 2, "amplifier": 1}.get(str(path[0]), 0)
    if at and len(path) > at + 2 and path[at] == "sections":
        return (*path[: at + 2], *path[at + 3 :])
    if detail["type"].startswith("union_tag"):
        return (*path, "type")
    return path


def _message(detail: ErrorDetails) -> str:
    if detail["type"] == "value_error":
        return str(detail["ctx"]["error"])
    write = _MESSAGES.get(detail["type"])
    return write(detail) if write else detail["msg"]


def _missing(detail: ErrorDetails) -> str:
    key = detail["loc"][-1]
    node = described_at(detail["loc"])
    if detail["loc"] == ("drivers",):
        return _no_driver(detail)
    if node.get("type") == "object":
        needed = NEEDED["box"] if key == "cabinet" else node["required"]
        return f"the table is missing; add [{key}] with {listed(needed)}"
    return f"the key is missing; add it{_for_example(detail)}"


def _unknown(detail: ErrorDetails) -> str:
    key = str(detail["loc"][-1])
    if _is_horn(detail):
        return f"'{short_name(key)}': {NO_HORNS}"
    known = _keys(detail["loc"][:-1])
    if inner := _table_of(detail["loc"]):
        return f"unknown key '{short_name(key)}'; it belongs below [{key_text(inner)}]"
    near = nearest(key, known)
    if near:
        return f"unknown key '{short_name(key)}'; did you mean '{near[0]}'?"
    return f"unknown key '{short_name(key)}'; the keys here are {', '.join(known)}"


def _table_of(path: Path) -> Path | None:
    """The one table of a driver in which an unknown key of that driver would be known."""
    if len(path) != 3 or path[0] != "drivers":
        return None
    tables = [(*path[:2], key) for key in _keys(path[:-1])]
    return next((table for table in tables if path[-1] in _keys(table)), None)


def _is_horn(detail: ErrorDetails) -> bool:
    """Whether an unknown key of a driver is about a waveguide or a horn."""
    path = detail["loc"]
    key = str(path[-1]).lower()
    return len(path) == 3 and path[0] == "drivers" and any(word in key for word in HORNS)


def _not_a_choice(detail: ErrorDetails) -> str:
    node = described_at(detail["loc"])
    known = node.get("enum") or [node["const"]]
    return f"{shortened(detail['input'])} is none of the choices; " + choice(
        known, detail["input"] if isinstance(detail["input"], str) else ""
    )


def _no_such_section(detail: ErrorDetails) -> str:
    known = list(described_at(detail["loc"])["discriminator"]["mapping"])
    if detail["type"] == "union_tag_not_found":
        return f"the section has no type; {choice(known, '')}"
    tag = detail["ctx"]["tag"]
    return f"'{short_name(tag)}' is no type of section; {choice(known, tag)}"


def _not_a_table(detail: ErrorDetails) -> str:
    wrong = f"{shortened(detail['input'])} is not a table"
    if isinstance(detail["loc"][-1], int):
        key = "place" if "parts" in detail["loc"] else "type"
        return f"{wrong}; write keys with values in braces: {{ {key} = … }}"
    return f"{wrong}; write [{key_text(detail['loc'])}] and its keys below"


def _not_a_list(detail: ErrorDetails) -> str:
    if described_at((*detail["loc"], 0)).get("type") == "object":
        return (
            f"{shortened(detail['input'])} is not a list of tables; write "
            f"[[{key_text(detail['loc'])}]]"
        )
    return f"{shortened(detail['input'])} is not a list in brackets{_for_example(detail)}"


def _not_yes_or_no(detail: ErrorDetails) -> str:
    return f"{shortened(detail['input'])} is neither true nor false; write one of them, unquoted"


def _wrong_length(detail: ErrorDetails) -> str:
    node = described_at(detail["loc"])
    if detail["type"] == "too_short" and detail["loc"] == ("drivers",):
        return _no_driver(detail)
    if "maxProperties" in node:
        most, what = node["maxProperties"], _MANY.get(detail["loc"][-1])
        if what is None:
            return f"there are more than {most} entries; at most {most} are read"
        return f"there are more than {most} {what}; at most {most} are predicted together"
    if "minItems" not in node:
        return f"the list is too long; at most {node['maxItems']} fit"
    least, most = node["minItems"], node["maxItems"]
    count = str(least) if least == most else f"{least} to {most}"
    return f"{shortened(detail['input'])} has the wrong length, not {count}{_for_example(detail)}"


def _no_driver(detail: ErrorDetails) -> str:
    return "there is no driver; add a table for each, such as [drivers.tweeter]"


_MANY: dict[str | int, str] = {
    "drivers": "drivers",
    "others": "further seats",
    "enclosures": "enclosures",
    "ports": "ports",
    "passive_radiators": "passive radiators",
}

_MESSAGES: dict[str, Callable[[ErrorDetails], str]] = {
    "missing": _missing,
    "extra_forbidden": _unknown,
    "literal_error": _not_a_choice,
    "union_tag_invalid": _no_such_section,
    "union_tag_not_found": _no_such_section,
    "model_type": _not_a_table,
    "model_attributes_type": _not_a_table,
    "dict_type": _not_a_table,
    "list_type": _not_a_list,
    "bool_type": _not_yes_or_no,
    "too_short": _wrong_length,
    "too_long": _wrong_length,
}


def _keys(location: Path) -> list[str]:
    return list(described_at(location).get("properties", {}))


def _for_example(detail: ErrorDetails) -> str:
    node = described_at(detail["loc"])
    shown: list[Any] = node.get("examples") or node.get("enum") or []
    return f", for example {detail['loc'][-1]} = {json.dumps(shown[0])}" if shown else ""
