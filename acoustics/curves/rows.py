"""Rows of numbers in a text: how its cells are parted, how its numbers are written, its heads."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Literal

import numpy as np

from acoustics.curves.curve import (
    CurveError,
    CurveForm,
    Decimal,
    Delimiter,
    shown,
)
from acoustics.curves.text import WAY_OUT

MARKS: dict[Delimiter, str | None] = {
    "tab": "\t",
    "semicolon": ";",
    "comma": ",",
    "bar": "|",
    "space": None,
}
"""Names of delimiters, the likeliest first, and the characters; None is any white space."""

COMMENT_MARKS = ("*", "#", ";", '"', "%", "//", "!", "'")
LATE_COMMENT = re.compile(r"\s(?:#|//|%|!).*")
QUOTED = re.compile(r'"([^"]*)"|[,;\t|]')
LOOKED_AT = 600
"""lines from which delimiter and decimal mark are found: the first ones and some of all others"""

LONGEST_NUMBER = 64

SWAPPED = str.maketrans(".,", ",.")

FEW = 3
"""rows; fewer before a line of text are no table yet but say something about it"""

Grouping = Literal["plain", "thousands"]
_TAIL = r"(?:[eEdD][+-]?\d{1,4})?$"
_NO_NUMBER = r"|^[+-]?(?:nan|inf|infinity|-?1\.#(?:ind|qnan|inf))$"


def _pattern(decimal: Decimal, grouping: Grouping) -> re.Pattern[str]:
    point, comma = (r"\.", ",") if decimal == "point" else (",", r"\.")
    grouped = rf"(?:[1-9]\d{{0,2}}(?:{comma}\d{{3}})+|\d+)"
    whole = r"\d+" if grouping == "plain" else grouped
    number = rf"^[+-]?(?:{whole}(?:{point}\d*)?|{point}\d+){_TAIL}{_NO_NUMBER}"
    return re.compile(number, re.IGNORECASE)


DECIMALS: tuple[Decimal, ...] = ("point", "comma")
GROUPINGS: tuple[Grouping, ...] = ("plain", "thousands")
NUMBERS = {way: _pattern(*way) for way in product(DECIMALS, GROUPINGS)}


@dataclass(frozen=True)
class Writing:
    """How cells are parted and numbers written."""

    delimiter: Delimiter
    decimal: Decimal
    grouping: Grouping

    def cells(self, line: str) -> list[str]:
        """Cells of a line without the blanks round them; empty ones at the end are left out."""
        mark = MARKS[self.delimiter]
        parts = line.split() if mark is None else [part.strip() for part in line.split(mark)]
        while parts and not parts[-1]:
            parts.pop()
        return parts

    def numbers(self, line: str) -> list[float]:
        """Numbers at the beginning of a line, up to the first cell that is none."""
        pattern = NUMBERS[self.decimal, self.grouping]
        found: list[float] = []
        for cell in self.cells(line):
            if len(cell) > LONGEST_NUMBER or not pattern.match(cell):
                break
            found.append(self._value(cell))
        return found

    def _value(self, cell: str) -> float:
        if self.decimal == "comma":
            cell = cell.translate(SWAPPED)
        if self.grouping == "thousands":
            cell = cell.replace(",", "")
        try:
            return float(cell)
        except ValueError:  # powers of ten with a d, and what some programs write for no number
            pass
        try:
            return float(cell.lower().replace("d", "e"))
        except ValueError:
            return float("nan")


@dataclass(frozen=True)
class Rows:
    """A table: its `numbers`, shape (row, column), and the line each row stands in.

    `preamble` are the text lines before it, `text` all lines; `guesses` say what was not sure.
    """

    numbers: np.ndarray
    lines: np.ndarray
    preamble: tuple[str, ...]
    writing: Writing
    text: tuple[str, ...]
    guesses: tuple[str, ...]

    def at(self, row: int) -> tuple[str, int]:
        """Text and line number of a row."""
        line = int(self.lines[row])
        return shown(self.text[line - 1]), line


def rows_of(text: str, name: str, form: CurveForm, fewest: int = 2) -> Rows:
    """The rows of numbers in a text, all of one length, at least `fewest`. Raises CurveError."""
    raw = text.replace("\r\n", "\n").replace("\r", "\n").replace("\x1a", "").split("\n")
    lines = [_plain(line) for line in raw]
    if not any(lines):
        raise CurveError(f"is empty; {WAY_OUT}", name)
    writing = _writing(lines, form, fewest)
    if writing is None:
        raise CurveError(_no_table(lines, form), name)
    first = next(
        i
        for i, line in enumerate(lines)
        if len(writing.numbers(line)) >= fewest and not _marked(line)
    )
    skipped = ""
    found: list[list[float]] = []
    places: list[int] = []
    for number, line in enumerate(lines[first:], first + 1):
        if not line:
            continue
        values = writing.numbers(line)
        if _marked(line):
            continue
        if not values and len(found) < FEW:
            if found:
                skipped = f"Numbers before line {number} are taken to be no part of the table."
            found, places, first = [], [], number
            continue
        if not values:
            raise CurveError(
                f"{shown(raw[number - 1])} is no row of numbers, though the table began in line "
                f"{first + 1}; put # in front of it, or remove it",
                name,
                number,
            )
        if found and len(values) != len(found[0]):
            raise CurveError(
                f"{shown(raw[number - 1])} has {_count(len(values))}, the table's first row "
                f"{len(found[0])}; every row needs the same columns",
                name,
                number,
            )
        found.append(values)
        places.append(number)
    if not found:
        raise CurveError(f"has no rows of numbers behind line {first}; {WAY_OUT}", name)
    return Rows(
        np.array(found),
        np.array(places),
        tuple(map(_tidy, raw[:first])),
        writing,
        tuple(raw),
        tuple(filter(None, (skipped, *_guesses(writing, form)))),
    )


def _guesses(writing: Writing, form: CurveForm) -> Iterator[str]:
    if writing.decimal == "comma" and form.decimal is None:
        yield "Numbers are read with a decimal comma."
    if writing.grouping == "thousands":
        yield "Marks between groups of three digits are read as thousands separators."


def _tidy(line: str) -> str:
    """A line with plain blanks and minus signs."""
    line = line.replace("\ufeff", "").replace("\xa0", " ").replace("\u2212", "-")
    return line.strip(" \f\v\0")


def _plain(line: str) -> str:
    """A line without the quotes and signs that only decorate it."""
    line = _tidy(line)
    if '"' in line:
        cells = QUOTED.sub(lambda m: "\t" if m[1] is None else m[1], line)
        if re.match(r"\s*[+-]?[.,]?\d", cells):
            line = cells
    return LATE_COMMENT.sub("", line) if line.strip() else ""


def _marked(line: str) -> bool:
    """Whether a line is a comment."""
    return line.lstrip().startswith(COMMENT_MARKS)


def _writing(lines: Sequence[str], form: CurveForm, fewest: int) -> Writing | None:
    """How most of the rows are written, if any are."""
    rows = [line for line in lines if line and not _marked(line)]
    rest = max(1, (len(rows) - LOOKED_AT) // LOOKED_AT)
    sample = rows[:LOOKED_AT] + rows[LOOKED_AT::rest]
    best: tuple[tuple[int, bool], Writing] | None = None
    for grouping, delimiter, decimal in product(
        GROUPINGS,
        [form.delimiter] if form.delimiter else MARKS,
        [form.decimal] if form.decimal else DECIMALS,
    ):
        if delimiter == "comma" and (decimal == "comma" or grouping == "thousands"):
            continue
        writing = Writing(delimiter, decimal, grouping)
        numbers = [values for values in map(writing.numbers, sample) if len(values) >= fewest]
        if not numbers:
            continue
        step = np.diff([values[0] for values in numbers])
        ordered = len(numbers[0]) > 1 and bool(np.all(step > 0) or np.all(step < 0))
        score = len(numbers), ordered
        if best is None or score > best[0]:
            best = score, writing
    return None if best is None else best[1]


def _no_table(lines: Sequence[str], form: CurveForm) -> str:
    """Why there are no two columns of numbers."""
    space = [Writing("space", decimal, "plain") for decimal in DECIMALS]
    plain = [line for line in lines if line and not _marked(line)]
    if form.delimiter or form.decimal:
        stated = " and ".join(
            f"{key} = '{value}'"
            for key, value in (("delimiter", form.delimiter), ("decimal", form.decimal))
            if value
        )
        return f"has no row with two columns of numbers when read with {stated}; leave that out"
    single = sum(any(writing.numbers(line) for writing in space) for line in plain[:LOOKED_AT])
    if single > 0.5 * len(plain[:LOOKED_AT]):
        return "has one column of numbers; a curve needs frequency in one and values in another"
    return f"has no rows of numbers; {WAY_OUT}"


def _count(columns: int) -> str:
    return f"{columns} column" if columns == 1 else f"{columns} columns"
