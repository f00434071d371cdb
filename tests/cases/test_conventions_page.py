"""The page of conventions says what the code does."""

from __future__ import annotations

import re

import pytest

from acoustics.case.text.units import DIMENSIONS
from acoustics.conventions import COORDINATES, DRIVE_VOLTAGE, REFERENCE_PRESSURE, VARIABLES
from support.cases import CASES
from support.told import blocks_of, printed
from support.variable_table import rows_of

PAGE = CASES / "CONVENTIONS.md"
TEXT = PAGE.read_text(encoding="utf-8")


def table_after(heading: str) -> list[str]:
    """Rows of the first table below a heading, without its head."""
    after = TEXT.split(f"\n{heading}\n", 1)[1]
    rows = re.search(r"(?:^\|.*\n)+", after, re.MULTILINE)
    assert rows is not None
    return rows.group().splitlines()[2:]


def test_every_variable_and_coordinate_is_there_as_the_code_has_it():
    assert table_after("## Every variable of a prediction") == rows_of(VARIABLES)
    assert table_after("## Every coordinate") == rows_of(COORDINATES)


def test_units_of_case_files_are_those_that_are_read():
    expected = [
        f'| {each.name} | {", ".join(each.advised)} | `"{each.example}"` | {each.base} |'
        for each in DIMENSIONS
    ]
    assert table_after("## Units") == expected


def test_levels_are_relative_to_what_the_page_says():
    stated = "dB re 20 µPa of rms pressure, for 2.83 V rms at the input"
    assert stated in TEXT
    assert pytest.approx(20e-6) == REFERENCE_PRESSURE
    assert DRIVE_VOLTAGE == 2.83


def test_the_field_over_a_free_source_is_what_the_page_prints():
    assert "jωρ/(4πR)·exp(−jkR)" in TEXT
    blocks = blocks_of(TEXT)
    assert len(blocks) == TEXT.count("```python")
    assert list(printed(blocks, PAGE)) == [said for _, said in blocks]
