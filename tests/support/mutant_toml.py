"""The data of a case file as TOML text, whatever has become of it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import date, time
from typing import Any


class Verbatim(str):
    """What stands in the file as it is: numbers that Python does not print, wrong TOML."""


def toml_text(data: dict[str, Any]) -> str:
    """Tables under their heads, what is in lists in braces."""
    return "\n".join(_table(data, ())) + "\n"


def _table(table: dict[str, Any], path: tuple[str, ...]) -> Iterator[str]:
    if path:
        yield f"[{'.'.join(map(_quoted, path))}]"
    inner = {key: value for key, value in table.items() if isinstance(value, dict)}
    for key, value in table.items():
        if key not in inner:
            yield f"{_quoted(key)} = {_value(value)}"
    for key, value in inner.items():
        # What is nested too deep for heads stays in braces.
        if len(path) < 4:
            yield from _table(value, (*path, key))
        else:
            yield f"{_quoted(key)} = {_value(value)}"


def _value(value: Any) -> str:
    if isinstance(value, Verbatim):
        return str(value)
    if isinstance(value, dict):
        inside = ", ".join(f"{_quoted(key)} = {_value(each)}" for key, each in value.items())
        return f"{{{inside}}}"
    if isinstance(value, list):
        return f"[{', '.join(map(_value, value))}]"
    if isinstance(value, date | time):
        return value.isoformat()
    return _quoted(value) if isinstance(value, str) else repr(value).lower()


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)
