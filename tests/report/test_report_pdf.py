"""A report on paper: A4, the same every time, as many sheets as it takes."""

from __future__ import annotations

import re

import pytest

from acoustics.report.html.paper import save_report_pdf
from support.cases import make_case
from support.reported import page_of

A4 = (210 / 25.4 * 72, 297 / 25.4 * 72)
"""points (ISO 216)"""


pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def sheets(solve_free_field, tmp_path_factory):
    folder = tmp_path_factory.mktemp("paper")
    files = [
        save_report_pdf(page_of(make_case(title="<b> $x$ & co"), solve_free_field), folder / name)
        for name in ("one.pdf", "other.pdf")
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
