"""Keys and tables that a TOML text has twice: which, and where the first one stands."""

from __future__ import annotations

import re
import tomllib

from acoustics.case.text.lines import line_index
from acoustics.case.text.shown import short_name

_STATEMENT = re.compile(r"""\s*([\w.\-"' ]*[\w\-"'])\s*=""")
_HEADER = re.compile(r"\s*\[+\s*([^\]]*?)\s*\]")


def said_twice(found: str, lines: list[str], number: int) -> str:
    """The message for a key or table that is repeated on line `number`; empty for other slips.

    `found` is what the parser said; `lines` are those of the text, valid above line `number`.
    """
    line = lines[number - 1] if number <= len(lines) else ""
    if inner := re.fullmatch(r"Duplicate inline table key '(.*)'", found):
        return f"the key '{short_name(inner[1])}' is there twice in these braces; keep one of them"
    header = _HEADER.match(line)
    if header and re.fullmatch(r"Cannot declare \(.*\) twice", found):
        first = _first(header[1], "", lines[: number - 1])
        return (
            f"the table [{short_name(header[1])}] is there twice{first}; "
            "put all its keys under one heading"
        )
    statement = _STATEMENT.match(line)
    if statement and found == "Cannot overwrite a value":
        key = statement[1]
        headings = [match[1] for above in lines[:number] if (match := _HEADER.match(above))]
        first = _first(key, headings[-1] if headings else "", lines[: number - 1])
        return f"the key '{short_name(key)}' is there twice{first}; keep one of them"
    return ""


def _first(key: str, table: str, above: list[str]) -> str:
    """Where `key` of `table` stands in the lines above: the last such table, if it is an array."""
    text = "\n".join(above)
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError:  # the second one goes over several lines
        return ""
    parts = _parts(".".join(filter(None, (table, key))))
    places = [
        line
        for path, line in line_index(text).items()
        if [part for part in path if isinstance(part, str)] == parts
    ]
    return f", first on line {max(places)}" if places else ""


def _parts(dotted: str) -> list[str]:
    return [part.strip().strip("\"'") for part in dotted.split(".")]
