"""A comparison as text and as a table."""

from __future__ import annotations

import csv
import io

import pytest

from acoustics.report import comparison_csv, comparison_text
from acoustics.studies import compare
from support.cases import make_case, make_driver


@pytest.fixture(scope="module")
def comparison(solve_free_field):
    drivers = (make_driver("woofer", -0.15), make_driver("tweeter", 0.10))
    cases = [
        make_case(path="near/case.toml", digest="a" * 64, title="Drivers near"),
        make_case(
            drivers,
            crossover=make_case().crossover,
            path="far/case.toml",
            digest="b" * 64,
            title="Drivers, far",
        ),
    ]
    return compare(cases, solve=solve_free_field)


def test_text_starts_with_the_verdict(comparison):
    paragraphs = comparison_text(comparison).split("\n\n")
    assert paragraphs[0].startswith("Comparison\n")
    assert " ".join(paragraphs[1].split()) == comparison.sentences[0]
    assert "- near: Drivers near\n- far: Drivers, far" in paragraphs[2]


def test_text_holds_every_sentence_and_note(comparison):
    text = " ".join(comparison_text(comparison).split())
    for sentence in (*comparison.sentences, *comparison.notes):
        assert " ".join(sentence.split()) in text


def test_only_what_differs_is_in_the_text_table(comparison):
    text = comparison_text(comparison)
    table = text[text.index("Numbers that differ") : text.index("more numbers differ by no more")]
    assert "height of the window" in table
    assert "acoustic crossover frequency" not in table
    assert f"{int((~comparison.table.differs).sum())} more numbers" in text


def test_csv_holds_every_number(comparison):
    text = comparison_csv(comparison.table)
    assert text.endswith("\r\n")  # RFC 4180
    header, *rows = csv.reader(io.StringIO(text))
    assert header == [
        "quantity", "place", "unit", "near", "far", "difference", "uncertainty", "differs"
    ]  # fmt: skip
    assert len(rows) == comparison.table.row.size
    for row, differs in zip(rows, comparison.table.differs.values, strict=True):
        assert row[-1] == ("yes" if differs else "no")
        assert float(row[5]) == pytest.approx(abs(float(row[3]) - float(row[4])), abs=1e-3)
