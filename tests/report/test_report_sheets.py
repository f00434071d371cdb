"""A report made by hand on sheets of paper: what stands where, read back by another library."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.report.html.content import (
    SUMMARY,
    Chart,
    Curve,
    Judged,
    Page,
    Picture,
    Points,
    Section,
    Table,
    Verbatim,
)
from acoustics.report.html.paper import save_report_pdf
from support.pdf_read import lines, pages, size

A4 = (210 / 25.4 * 72, 297 / 25.4 * 72)
"""points (ISO 216)"""

FREQUENCY = np.geomspace(20.0, 20_000.0, 50)
CHART = Chart(
    "level",
    "How even is it?",
    "It falls by `3 dB`.",
    "level (dB)",
    "dB",
    FREQUENCY,
    (Curve("on axis", np.linspace(86.0, 83.0, 50), main=True),),
    70.0,
    95.0,
)
SVG = '<svg viewBox="0 0 400 300" width="400" height="300"><path d="M 0 0 L 400 300"/></svg>'
PICTURE = Picture("drawing", "Where it is", "A line from corner to corner.", SVG)


def written(tmp_path, *sections, changes=(), judged=(), name="report.pdf"):
    page = Page(
        title="Small one & co",
        answer="Is it good? Yes.",
        changes=changes,
        judged=judged,
        figures=(("sensitivity", "84 dB"),),
        sections=sections,
        made_by="made by hand",
    )
    return pages(save_report_pdf(page, tmp_path / name).read_bytes())


def told(found):
    return [line for page in found for line, *_ in lines(page)]


def test_the_front_has_the_answer_what_to_change_the_figures_and_what_was_asked(tmp_path):
    changes = ("Move the tweeter by `20 mm`.",)
    judged = (Judged("met", "It plays to 45 Hz."), Judged("missed", "It costs less."))
    words = told(written(tmp_path, changes=changes, judged=judged))
    assert words[:2] == ["Small one & co", "Is it good? Yes."]
    assert words.index("What to change") < words.index("Key figures")
    assert "•  Move the tweeter by “20 mm”." in words
    assert any("sensitivity" in line and "84 dB" in line for line in words)
    assert words.index("What was asked for") < words.index("•  met: It plays to 45 Hz.")
    assert "•  missed: It costs less." in words
    assert words[-1] == "made by hand"


def test_what_is_not_there_has_no_heading(tmp_path):
    words = told(written(tmp_path))
    assert "What to change" not in words
    assert "What was asked for" not in words


def test_a_section_has_its_figures_before_its_words_whatever_came_first(tmp_path):
    section = Section("sound", "Sound", (Points(("It is loud.",), "In words"), CHART, PICTURE))
    words = told(written(tmp_path, section))
    order = ["Sound", "How even is it?", "It falls by “3 dB”.", "A line from corner to corner."]
    places = [words.index(line) for line in (*order, "In words", "•  It is loud.")]
    assert places == sorted(places)


def test_a_section_may_begin_with_a_picture_a_table_or_plain_text(tmp_path):
    table = Table((("driver", "size"), ("woofer", "130 mm")), "", "Drivers")
    found = written(
        tmp_path,
        Section("picture", "Picture", (PICTURE,)),
        Section("table", "Table", (table,)),
        Section("text", "Text", (Verbatim("a  b\nc  d"),)),
        Section(SUMMARY, "All of it", (Verbatim("what was said"),)),
    )
    words = told(found)
    assert {"Picture", "Table", "Text", "Drivers"} <= set(words)
    assert any("woofer" in line and "130 mm" in line for line in words)
    # The summary says all again and is left out.
    assert "All of it" not in words
    assert "what was said" not in words


def test_it_goes_on_over_sheets_within_their_margins(tmp_path):
    """Two hundred sentences of 9 points, a quarter apart: about 60 lines to a sheet."""
    points = Points(tuple(f"Sentence number {n}." for n in range(200)), "Many")
    found = written(tmp_path, Section("many", "Many sentences", (points, CHART, CHART, PICTURE)))
    assert len(found) >= 5
    for page in found:
        assert size(page) == pytest.approx(A4, abs=0.5)
        for _, across, up in lines(page):
            assert 50 < across < A4[0] - 50
            assert 50 < up < A4[1] - 50
    words = told(found)
    assert all(f"•  Sentence number {n}." in words for n in range(200))


def test_a_wide_table_gets_smaller_letters_and_a_heading_is_not_left_alone(tmp_path):
    wide = Verbatim("x" * 300)
    filler = Points(tuple(f"Line {n}." for n in range(48)), "")
    found = written(
        tmp_path, Section("a", "First", (filler,)), Section("b", "Second", (CHART, wide))
    )
    (sheet,) = (page for page in found if "Second" in [line for line, *_ in lines(page)])
    assert "How even is it?" in [line for line, *_ in lines(sheet)]
    assert "x" * 300 in told(found)


def test_equal_reports_are_equal_files(tmp_path):
    for name in ("one.pdf", "other.pdf"):
        written(tmp_path, Section("sound", "Sound", (CHART, PICTURE)), name=name)
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "other.pdf").read_bytes()
