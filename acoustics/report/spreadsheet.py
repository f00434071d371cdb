"""Comma-separated values (RFC 4180) that spreadsheets read as what they are: text and numbers."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""How a cell begins that a spreadsheet may run as a formula (common practice, no source)."""


def csv_text(rows: Iterable[Sequence[object]]) -> str:
    """Rows as comma-separated values, the first the names of the columns, lines ended by CR LF.

    Names come out of files that anyone may have written: a cell that a spreadsheet would run as a
    formula gets an apostrophe in front, unless it is a number.
    """
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerows([safe_cell(str(cell)) for cell in row] for row in rows)
    return text.getvalue()


def safe_cell(text: str) -> str:
    """A cell that no spreadsheet takes for a formula."""
    return f"'{text}" if text.startswith(FORMULA) and not _is_number(text) else text


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
