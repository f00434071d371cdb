"""Cells that spreadsheets read as text, and text that comes back as it was."""

from __future__ import annotations

import csv
import io

import pytest

from acoustics.report.spreadsheet import csv_text, safe_cell


def read(text):
    return list(csv.reader(io.StringIO(text, newline="")))


@pytest.mark.parametrize(
    "cell", ["=1+1", "+cmd", "-2+3", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "=HYPERLINK(x)"]
)
def test_a_cell_that_would_be_run_gets_an_apostrophe(cell):
    assert read(csv_text([[cell, "b"]])) == [[f"'{cell}", "b"]]


@pytest.mark.parametrize("cell", ["-1.5", "+2", "-inf", "-3e-7", "C1", "R pad", "'quoted", ""])
def test_numbers_and_words_stay(cell):
    assert safe_cell(cell) == cell


def test_commas_quotes_and_line_ends_come_back():
    row = ["a, b", 'said "so"', "two\nlines", "Ω ≥ −1", "semi;colon"]
    text = csv_text([["head"] * 5, row])
    assert read(text)[1] == row
    assert text.startswith("head,head,head,head,head\r\n")
