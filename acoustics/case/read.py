"""A case file in, a checked case out, or every fault of the file at once."""

from __future__ import annotations

import os
import pathlib
import re
import tomllib
from collections.abc import Iterable
from typing import Any

from pydantic import ValidationError

from acoustics.case.build import build_case
from acoustics.case.checks import meaning_problems
from acoustics.case.faults import Problem, key_text, problems_of
from acoustics.case.lines import line_index, line_of
from acoustics.case.model import Case
from acoustics.case.tables import CaseTable
from acoustics.conventions import CaseError, Fault

CASE_FILE = "case.toml"
LARGEST = 1_000_000
"""bytes; a design takes a few thousand"""

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
    data = _data(file, text)
    checked: CaseTable | None = None
    problems: list[Problem] = []
    try:
        checked = CaseTable.model_validate(data)
    except ValidationError as error:
        problems = problems_of(error)
    problems += meaning_problems(data, [problem.path for problem in problems])
    if problems or checked is None:
        raise CaseError(_faults(file, text, problems))
    return build_case(checked, str(file))


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
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _syntax_error(file, text, str(error)) from None
    except (ValueError, RecursionError) as error:
        # Numbers of thousands of digits, brackets nested thousands deep.
        raise _refusal(file, f"cannot be read as TOML ({error}); {_WAY_OUT}") from None
    if not data:
        message = (
            "the file is empty; start from one of the worked designs, "
            "or let an editor complete it from the JSON schema (roundover check --schema)"
        )
        raise _refusal(file, message)
    return data


def _syntax_error(file: pathlib.Path, text: str, said: str) -> CaseError:
    lines = text.splitlines()
    place = re.search(r" \(at line (\d+), column \d+\)$", said)
    number = int(place[1]) if place else max(len(lines), 1)
    what = said[: place.start()] if place else said
    shown = lines[number - 1].strip() if number <= len(lines) else ""
    advice = "compare the line with one of the worked designs"
    if comma := re.search(r"=\s*\[?\s*([+-]?\d+),(\d+)", shown):
        advice = f"a decimal comma? write {comma[1]}.{comma[2]} with a point"
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
    return sorted(faults, key=lambda fault: fault.line or 0)


def _refusal(file: pathlib.Path, message: str, line: int | None = None) -> CaseError:
    return CaseError([Fault(message, str(file), line)])
