"""TOML files in, their data out, or what is wrong with them as files."""

from __future__ import annotations

import pathlib
import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from acoustics.case.text.limits import MOST_KEYS
from acoustics.case.text.shown import printable
from acoustics.case.text.twice import said_twice
from acoustics.case.text.units import without_comma
from acoustics.conventions import CaseError, Fault

LARGEST = 1_000_000
"""bytes; a design takes a few thousand"""
DEEPEST = 20
"""tables and lists inside each other; a design takes five"""

_ENDLESS = re.compile(r"(?<!\w)[0-9]\w{2400,}")
# The parser's time grows with the square of the parts of a dotted key.
_DOTTED = re.compile(r"(?<![\w\-])(?:[\w\-]+\.){500}")


@dataclass(frozen=True)
class FileKind:
    """What a file is called, what to give instead of a wrong one, and how to fill an empty one."""

    name: str
    way_out: str
    empty: str


def text_of(file: pathlib.Path, kind: FileKind) -> str:
    """The text of a file. Raises CaseError where it is none that can be read."""
    way_out = kind.way_out
    try:
        if file.exists() and not file.is_file():
            raise refusal(file, f"is not a regular file; {way_out}")
        if file.exists() and file.stat().st_size > LARGEST:
            raise refusal(file, f"is larger than any {kind.name} ({LARGEST} bytes); {way_out}")
        content = file.read_bytes()
    except FileNotFoundError:
        raise refusal(file, f"there is no such file; {way_out}") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise refusal(file, f"cannot be read ({reason}); {way_out}") from None
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        message = "is text in the encoding UTF-16; save the file in the encoding UTF-8"
        raise refusal(file, message, 1)
    if b"\0" in content:
        raise refusal(file, f"is a binary file, not text; {way_out}")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        message = (
            f"byte 0x{content[error.start]:02x} is not UTF-8 text; "
            "save the file in the encoding UTF-8"
        )
        raise refusal(file, message, line) from None


def data_of(file: pathlib.Path, text: str, kind: FileKind) -> dict[str, Any]:
    """What TOML makes of a file's text. Raises CaseError where it is no sensible TOML."""
    if _DOTTED.search(text):
        raise _too_deep(file, kind)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _syntax_error(file, text, str(error)) from None
    except RecursionError:
        raise _too_deep(file, kind) from None
    except ValueError:
        # The parser's only other refusal: Python reads no decimal number of so many digits.
        raise _too_long(file, text) from None
    *levels, beyond = _levels(data)
    if beyond:
        raise _too_deep(file, kind)
    if sum(len(part) for level in levels for part in level if isinstance(part, dict)) > MOST_KEYS:
        raise refusal(file, f"has more than {MOST_KEYS} keys; {kind.way_out}")
    if any(isinstance(part, int) and part.bit_length() > 10_000 for lvl in levels for part in lvl):
        raise _too_long(file, text)
    if not data:
        raise refusal(file, f"the file is empty; {kind.empty}")
    return data


def refusal(file: pathlib.Path, message: str, line: int | None = None) -> CaseError:
    """One fault of a file as a whole, or of a line of it."""
    return CaseError([Fault(message, str(file), line)])


def _too_deep(file: pathlib.Path, kind: FileKind) -> CaseError:
    message = f"lists or tables are nested more than {DEEPEST} deep; {kind.way_out}"
    return refusal(file, message)


def _too_long(file: pathlib.Path, text: str) -> CaseError:
    digits = _ENDLESS.search(text)
    line = text.count("\n", 0, digits.start()) + 1 if digits else None
    message = "a number has thousands of digits; write one that a person can read"
    return refusal(file, message, line)


def _levels(data: object) -> Iterator[list[object]]:
    """What stands in `data`, level by level: DEEPEST levels, and what lies below them."""
    level = [data]
    for _ in range(DEEPEST + 1):
        level = [
            part
            for value in level
            if isinstance(value, dict | list)
            for part in (value.values() if isinstance(value, dict) else value)
        ]
        yield level


def _syntax_error(file: pathlib.Path, text: str, said: str) -> CaseError:
    lines = text.splitlines()
    place = re.search(r" \(at line (\d+), column \d+\)$", said)
    number = int(place[1]) if place else max(len(lines), 1)
    what = said[: place.start()] if place else said
    shown = printable(lines[number - 1].strip()) if number <= len(lines) else ""
    advice = "compare the line with one of the worked designs"
    if twice := said_twice(what, lines, number):
        return refusal(file, twice, number)
    if what == "Illegal character '\\n'":
        what, advice = "a text has no end", "close its quotes on the same line"
    elif re.search("[\u201c\u201d\u201e\u201f\u2018\u2019\u201a\u201b\u00ab\u00bb]", shown):
        advice = 'quotes are straight in TOML: "…"; replace the curly ones'
    elif comma := re.search(r"=\s*\[?\s*([+-]?\d+,\d.*)", shown):
        advice = f"a comma in a number? {without_comma(comma[1])}"
    elif re.search(r"=\s*\[?\s*[+-]?[\d.,]+\s*[^\W\d]", shown):
        advice = 'put a value with its unit in quotes, for example "220 mm"'
    found = f" in `{shown[:60]}`" if shown else ""
    return refusal(file, f"not valid TOML{found}: {what}; {advice}", number)
