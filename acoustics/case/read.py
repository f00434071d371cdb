"""A case file in, a checked case out, or every fault of the file at once."""

from __future__ import annotations

import os
import pathlib
import re
import tomllib
from collections.abc import Iterable, Iterator
from typing import Any

from pydantic import ValidationError

from acoustics.case.build import build_case
from acoustics.case.checks import meaning_problems
from acoustics.case.faults import Problem, key_text, misspelt_paths, problems_of
from acoustics.case.lines import Path, line_index, line_of
from acoustics.case.model import Case
from acoustics.case.sweep_checks import sweep_problems
from acoustics.case.tables import CaseTable
from acoustics.case.twice import said_twice
from acoustics.case.units import without_comma
from acoustics.conventions import CaseError, Fault

CASE_FILE = "case.toml"
LARGEST = 1_000_000
"""bytes; a design takes a few thousand"""
MOST_FAULTS = 100
"""that are listed; more help nobody"""
DEEPEST = 20
"""tables and lists inside each other; a design takes five"""

_ENDLESS = re.compile(r"(?<!\w)[0-9]\w{2400,}")
# The parser's time grows with the square of the parts of a dotted key.
_DOTTED = re.compile(r"(?<![\w\-])(?:[\w\-]+\.){500}")
_WAY_OUT = "give a case file (TOML text) or a folder that holds case.toml"


def read_case(path: str | os.PathLike[str]) -> Case:
    """Read and check a design.

    `path` is a case file or a folder that holds `case.toml`. Every value comes out in SI units.
    Raises CaseError with all faults of the file, each with file, line, key and a way out.

    >>> case = read_case("cases/compact-centred")  # doctest: +SKIP
    >>> case.cabinet.width  # doctest: +SKIP
    0.22
    """
    file = pathlib.Path(path)
    if file.is_dir():
        if not (file / CASE_FILE).is_file():
            raise _refusal(file, f"the folder holds no {CASE_FILE}; {_WAY_OUT}")
        file = file / CASE_FILE
    text = _text(file)
    return checked_case(file, text, _data(file, text))


def checked_case(file: pathlib.Path, text: str, data: dict[str, Any]) -> Case:
    """Check the data of a case and build it.

    `data` is what TOML makes of `text`, or a variation of it; faults are told with their lines in
    `text`. Raises CaseError.
    """
    checked: CaseTable | None = None
    problems: list[Problem] = []
    misspelt: set[Path] = set()
    try:
        checked = CaseTable.model_validate(data)
    except ValidationError as error:
        problems = problems_of(error)
        misspelt = misspelt_paths(error)
    problems += meaning_problems(data, [*(problem.path for problem in problems), *misspelt])
    problems += sweep_problems(data)
    if problems or checked is None:
        raise CaseError(_faults(file, text, problems))
    return build_case(checked, str(file), text)


def _text(file: pathlib.Path) -> str:
    try:
        if file.exists() and not file.is_file():
            raise _refusal(file, f"is not a regular file; {_WAY_OUT}")
        if file.exists() and file.stat().st_size > LARGEST:
            raise _refusal(file, f"is larger than any case file ({LARGEST} bytes); {_WAY_OUT}")
        content = file.read_bytes()
    except FileNotFoundError:
        raise _refusal(file, f"there is no such file; {_WAY_OUT}") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise _refusal(file, f"cannot be read ({reason}); {_WAY_OUT}") from None
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        message = "is text in the encoding UTF-16; save the file in the encoding UTF-8"
        raise _refusal(file, message, 1)
    if b"\0" in content:
        raise _refusal(file, f"is a binary file, not text; {_WAY_OUT}")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        message = (
            f"byte 0x{content[error.start]:02x} is not UTF-8 text; "
            "save the file in the encoding UTF-8"
        )
        raise _refusal(file, message, line) from None


def _data(file: pathlib.Path, text: str) -> dict[str, Any]:
    if _DOTTED.search(text):
        raise _too_deep(file)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _syntax_error(file, text, str(error)) from None
    except RecursionError:
        raise _too_deep(file) from None
    except ValueError:
        # The parser's only other refusal: Python reads no decimal number of so many digits.
        raise _too_long(file, text) from None
    *levels, beyond = _levels(data)
    if beyond:
        raise _too_deep(file)
    if any(isinstance(part, int) and part.bit_length() > 10_000 for lvl in levels for part in lvl):
        raise _too_long(file, text)
    if not data:
        message = (
            "the file is empty; start from one of the worked designs, "
            "or let an editor complete it from the JSON schema (roundover check --schema)"
        )
        raise _refusal(file, message)
    return data


def _too_deep(file: pathlib.Path) -> CaseError:
    return _refusal(file, f"lists or tables are nested more than {DEEPEST} deep; {_WAY_OUT}")


def _too_long(file: pathlib.Path, text: str) -> CaseError:
    digits = _ENDLESS.search(text)
    line = text.count("\n", 0, digits.start()) + 1 if digits else None
    message = "a number has thousands of digits; write one that a person can read"
    return _refusal(file, message, line)


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
    shown = lines[number - 1].strip() if number <= len(lines) else ""
    advice = "compare the line with one of the worked designs"
    if twice := said_twice(what, lines, number):
        return _refusal(file, twice, number)
    if re.search("[\u201c\u201d\u201e\u201f\u2018\u2019\u201a\u201b\u00ab\u00bb]", shown):
        advice = 'quotes are straight in TOML: "…"; replace the curly ones'
    elif comma := re.search(r"=\s*\[?\s*([+-]?\d+,\d.*)", shown):
        advice = f"a comma in a number? {without_comma(comma[1])}"
    elif re.search(r"=\s*\[?\s*[+-]?[\d.,]+\s*[^\W\d]", shown):
        advice = 'put a value with its unit in quotes, for example "220 mm"'
    found = f" in `{shown[:60]}`" if shown else ""
    return _refusal(file, f"not valid TOML{found}: {what}; {advice}", number)


def _faults(file: pathlib.Path, text: str, problems: Iterable[Problem]) -> list[Fault]:
    lines = line_index(text)
    faults = [
        Fault(problem.message, str(file), line_of(lines, problem.path), key_text(problem.path))
        for problem in problems
    ]
    faults.sort(key=lambda fault: fault.line or 0)
    more = len(faults) - MOST_FAULTS
    if more > 0:
        faults[MOST_FAULTS:] = [Fault(f"… and {more} more; correct these first", str(file))]
    return faults


def _refusal(file: pathlib.Path, message: str, line: int | None = None) -> CaseError:
    return CaseError([Fault(message, str(file), line)])
