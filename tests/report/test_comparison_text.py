"""A comparison as text and as a table."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace

import pytest

from acoustics.case.design.model import FrequencyGrid
from acoustics.report import comparison_csv, comparison_text
from acoustics.report.comparison import MOST_ROWS
from acoustics.studies.comparison.compare import compare
from support.cases import make_case, make_driver

LONGEST = 60
"""lines of a comparison of two designs at one seat"""


@pytest.fixture(scope="module")
def comparison(solve_free_field):
    drivers = (make_driver("woofer", -0.15), make_driver("tweeter", 0.10))
    grid = FrequencyGrid(per_octave=12)
    cases = [
        make_case(path="near/case.toml", digest="a" * 64, title="Drivers near", frequencies=grid),
        make_case(
            drivers,
            crossover=make_case().crossover,
            path="far/case.toml",
            digest="b" * 64,
            title="Drivers, far",
            frequencies=grid,
        ),
    ]
    return compare(cases, solve=solve_free_field)


@pytest.fixture(scope="module")
def text(comparison):
    return comparison_text(comparison)


def test_text_starts_with_the_verdict(comparison, text):
    paragraphs = text.split("\n\n")
    assert paragraphs[0].startswith("Comparison\n")
    assert " ".join(paragraphs[1].split()) == comparison.sentences[0]
    assert "audible difference" in paragraphs[1]
    assert "near is better in" in paragraphs[1].replace("\n", " ")
    assert "- near: Drivers near\n- far: Drivers, far" in paragraphs[2]


def test_text_holds_every_sentence_and_note_once(comparison, text):
    words = " ".join(text.split())
    for sentence in (*comparison.sentences, *comparison.notes):
        assert words.count(" ".join(sentence.split())) == 1


def test_text_is_short(text):
    assert len(text.splitlines()) <= LONGEST


def test_every_quality_has_a_line_with_its_doubt(comparison, text):
    for ranking in comparison.rankings:
        (line,) = [line for line in text.splitlines() if line.startswith(ranking.quality.name)]
        assert re.search(r"\d ± \d", line)
        marked = [i for i, cell in enumerate(re.split(r"  +", line)[1:3]) if cell.endswith("*")]
        assert marked == ([] if ranking.draw else list(ranking.best))


def test_what_the_qualities_do_not_tell_is_listed_if_short(comparison, text):
    table = comparison.table
    further = text[text.index("Further numbers that differ") : text.index("To keep in mind")]
    assert "acoustic crossover frequency" not in further
    assert "height of the window" not in further
    assert f"{int((~table.differs).sum())} numbers differ by no more" in further.replace("\n", " ")
    rows = [line for line in further.splitlines() if " ± " in line]
    assert 0 < len(rows) <= MOST_ROWS
    assert len({line.split(",")[0] for line in rows}) == len(rows)  # one of each kind
    assert "the clearest are shown" in further


def test_where_nothing_can_be_ranked_it_is_said(comparison):
    assert "Nothing could be compared." in comparison_text(replace(comparison, rankings=()))


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
