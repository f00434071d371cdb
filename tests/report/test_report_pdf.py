"""A report on paper: A4, the same every time, as many sheets as it takes."""

from __future__ import annotations

import re

import pytest

from acoustics.report.html.content import SUMMARY
from acoustics.report.html.paper import report_sheets, save_report_pdf
from support.cases import make_case
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
    boxes = re.findall(rb"/MediaBox \[ ([\d. ]+) \]", sheets[0])
    assert len(boxes) > 5
    for box in boxes:
        left, bottom, right, top = map(float, box.split())
        assert (right - left, top - bottom) == pytest.approx(A4, abs=0.5)


def test_every_section_has_its_heading_but_the_summary_that_says_all_again(pages):
    words = [line for sheet in report_sheets(pages[0]) for line in sheet.words]
    titles = {part.title: part.name for part in pages[0].sections}
    assert "Layout" in titles
    for title, name in titles.items():
        assert (title in words) is (name != SUMMARY)
    assert not any("`" in line for line in words)


def test_nothing_is_written_beyond_the_foot_or_the_right_edge(pages):
    for sheet in report_sheets(pages[0]):
        placed = [line.split() for line in sheet.operators if line.endswith(" Tm")]
        for *_, across, up, _ in (each for each in placed if float(each[5]) > 0):
            assert 0 < float(across) < sheet.width
            assert float(up) > 36  # half an inch
