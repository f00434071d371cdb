"""How paragraphs, lists and tables are laid out in plain text."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

COLUMNS = 88


def paragraph(text: str) -> str:
    """Text broken into lines."""
    return textwrap.fill(text, COLUMNS, break_long_words=False, break_on_hyphens=False)


def bullet(text: str) -> str:
    """One point of a list, broken into lines."""
    return textwrap.fill(
        text,
        COLUMNS,
        initial_indent="- ",
        subsequent_indent="  ",
        break_long_words=False,
        break_on_hyphens=False,
    )


def heading(text: str) -> str:
    """A heading, underlined."""
    return f"{text}\n{'-' * len(text)}"


def clipped(text: str, letters: int) -> str:
    """Text that fits into a column, its end left out where it is longer."""
    return text if len(text) <= letters else f"{text[: letters - 1].rstrip()}…"


def columns(rows: Sequence[Sequence[str]], *, left: int = 1) -> str:
    """A table in plain text: the first `left` columns flush left, the others flush right."""
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    return "\n".join(
        "  ".join(
            cell.ljust(width) if i < left else cell.rjust(width)
            for i, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    )


def cells(table: str) -> list[list[str]]:
    """The rows of a table laid out by `columns`; one column where the text is no table.

    Columns are parted where every line has two blanks side by side, which no widest cell has; a
    column that is empty all through goes with its neighbour.
    """
    lines = table.split("\n")
    width = max(map(len, lines))
    padded = [line.ljust(width) for line in lines]
    blank = [all(line[i] == " " for line in padded) for i in range(width)]
    rows: list[list[str]] = [[] for _ in lines]
    start = 0
    for i in range(1, width):
        ends = blank[i - 1] and blank[i] and not all(blank[start:i])
        if ends or i == width - 1:
            end = i if ends else width
            for row, line in zip(rows, padded, strict=True):
                row.append(line[start:end].strip())
            start = i + 1 if ends else width
    return rows
