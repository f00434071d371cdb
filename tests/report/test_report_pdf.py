"""A report on paper: A4, the same every time, as many sheets as it takes."""

from __future__ import annotations

import pytest

from acoustics.report.html.content import SUMMARY
from acoustics.report.html.paper import save_report_pdf
from support.cases import make_case
from support.pdf_read import lines, size
from support.pdf_read import pages as pages_of
from support.reported import page_of

A4 = (210 / 25.4 * 72, 297 / 25.4 * 72)
"""points (ISO 216)"""


pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def pages(solve_free_field):
    return [page_of(make_case(title="<b> $x$ & co"), solve_free_field) for _ in range(2)]


@pytest.fixture(scope="module")
def sheets(pages, tmp_path_factory):
    folder = tmp_path_factory.mktemp("paper")
    files = [
        save_report_pdf(page, folder / name)
        for page, name in zip(pages, ("one.pdf", "other.pdf"), strict=True)
    ]
    return [file.read_bytes() for file in files]


def test_equal_reports_are_equal_files(sheets):
    assert sheets[0] == sheets[1]


def test_all_sheets_are_a4(sheets):
    found = pages_of(sheets[0])
    assert len(found) > 5
    for page in found:
        assert size(page) == pytest.approx(A4, abs=0.5)


def test_every_section_has_its_heading_but_the_summary_that_says_all_again(pages, sheets):
    words = [line for page in pages_of(sheets[0]) for line, *_ in lines(page)]
    titles = {part.title: part.name for part in pages[0].sections}
    assert "Layout" in titles
    for title, name in titles.items():
        assert (title in words) is (name != SUMMARY)
    assert not any("`" in line for line in words)


def test_nothing_is_written_beyond_the_foot_or_the_right_edge(sheets):
    for page in pages_of(sheets[0]):
        for _, across, up in lines(page):
            assert 0 < across < A4[0]
            assert 36 < up < A4[1]  # half an inch
