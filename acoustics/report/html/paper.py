"""A report on sheets of A4, as PDF; equal reports give equal files."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from pathlib import Path

from acoustics.figures.drawing_ink import points
from acoustics.figures.drawing_tiles import paper_size
from acoustics.figures.paper import Face, blank, save, width, write
from acoustics.figures.style import INK, QUIET
from acoustics.report.html.chart_svg import chart_svg
from acoustics.report.html.content import (
    SUMMARY,
    Block,
    Chart,
    Page,
    Picture,
    Points,
    Section,
    Table,
)
from acoustics.report.html.page_words import COMMAND
from acoustics.report.html.svg_paper import put_svg, svg_size
from acoustics.report.plain_text import columns
from acoustics.studies.drawings import plain

MARGIN = 54.0
"""points: round everything"""

SPACING = 1.25
"""from line to line, in the size of their letters"""

BASE = 0.93
"""of a line's first letters below its top, likewise"""

CHART_SCALE, PICTURE_SCALE = 0.6, 0.85
"""points for one unit of a chart, and of a picture"""

COLUMNS = {9.0: 92, 12.0: 70, 11.0: 76, 17.0: 48}
"""letters of a line, by their size in points; letters of even width have their own"""

TEXT, MONO = 9.0, 7.5
"""points: of sentences and of tables"""

BETWEEN, BEFORE = 6.0, 11.0
"""points: between blocks, and before a heading"""

NEEDED_BELOW = 86.0
"""points that must be left below a heading"""


def save_report_pdf(page: Page, file: Path) -> Path:
    """Write a report as PDF: what is asked first, then section by section.

    The summary in full is left out: it says once more what the sections do, and lies beside the
    report as text.

    Raises:
        RoundoverError: the file cannot be written.
    """
    sheets = Sheets(plain(page.title))
    _front(sheets, page)
    for part in page.sections:
        if part.name != SUMMARY:
            _section(sheets, part)
    return save(sheets.canvas, file)


class Sheets:
    """Sheets that are filled from the top."""

    def __init__(self, title: str) -> None:
        self.width, self.height = points(paper_size("A4"))
        self.canvas = blank(title, (self.width, self.height))
        self.left = self.whole

    @property
    def column(self) -> float:
        """Width between the margins, points."""
        return self.width - 2 * MARGIN

    @property
    def whole(self) -> float:
        """Height between the margins, points."""
        return self.height - 2 * MARGIN

    def room(self, height: float) -> None:
        """Go on to the next sheet if this one has less height left (points)."""
        if self.left < height:
            self.canvas.showPage()
            self.left = self.whole

    def text(
        self,
        text: str,
        size: float = TEXT,
        *,
        below: float = 0.0,
        colour: str = INK,
        face: Face = "regular",
    ) -> None:
        """Lines of text, over several sheets if need be; `below` points must be left after them."""
        lines = text.split("\n")
        height = size * SPACING
        # No line of a paragraph stands alone at the foot of a sheet.
        self.room(min(len(lines), 2) * height + below)
        for line in lines:
            self.room(height)
            at = MARGIN, MARGIN + self.left - BASE * size
            write(self.canvas, plain(line), at, size, colour, face=face)
            self.left -= height
        self.left -= BETWEEN

    def table(self, text: str) -> None:
        """Rows of letters of even width, as large as the sheet has room for."""
        widest = max(width(line, 1.0, "mono") for line in text.split("\n"))
        self.text(text, min(MONO, self.column / max(widest, 1.0)), face="mono")

    def figure(self, svg: str, scale: float, title: str, told: str) -> None:
        """A figure between its title, if there is one, and what to see in it."""
        lines = [line for text in (title, told) for line in text.split("\n") if text]
        words = (len(lines) + 1) * 11.0 * SPACING
        wide, high = svg_size(svg)
        scale = min(scale, self.column / wide, (self.whole - words) / high)
        self.room(high * scale + words)
        if title:
            self.text(title, 11.0)
        self.room(high * scale)
        put_svg(self.canvas, svg, (MARGIN, MARGIN + self.left), scale)
        self.left -= high * scale + 2.0
        self.text(told, colour=QUIET)
        self.left -= BETWEEN


def _front(sheets: Sheets, page: Page) -> None:
    """What is asked first."""
    sheets.text(_filled(page.title, 17.0), 17.0, face="bold")
    sheets.text(_filled(page.answer, 12.0), 12.0)
    if page.changes:
        _put(sheets, Points(page.changes, "What to change"))
    rows = [("", "key figure"), *((name, value) for name, value in page.figures)]
    _put(sheets, Table(tuple(rows), "", "Key figures"))
    lines = tuple(f"{one.state}: {one.text}" for one in page.judged)
    if lines:
        _put(sheets, Points(lines, "What was asked for"))
    sheets.text(_filled(page.made_by), colour=QUIET)


def _section(sheets: Sheets, part: Section) -> None:
    """Heading, figures, words."""
    figures = [block for block in part.blocks if isinstance(block, Chart | Picture)]
    words = [block for block in part.blocks if not isinstance(block, Chart | Picture)]
    sheets.left -= BEFORE
    blocks = [*figures, *words]
    sheets.text(part.title, 12.0, below=_height(blocks[0], sheets), face="bold")
    for block in blocks:
        _put(sheets, block)


def _height(block: Block, sheets: Sheets) -> float:
    """What must be left for the first block below a heading, so that it is not parted from it."""
    if isinstance(block, Chart):
        return svg_size(chart_svg(block))[1] * CHART_SCALE + 60.0
    if isinstance(block, Picture):
        return min(svg_size(block.svg)[1] * PICTURE_SCALE + 60.0, sheets.whole - 24.0)
    return NEEDED_BELOW


def _put(sheets: Sheets, block: Block) -> None:
    if isinstance(block, Chart):
        sheets.figure(
            chart_svg(block), CHART_SCALE, _filled(block.title, 11.0), _filled(block.sentence)
        )
        return
    if isinstance(block, Picture):
        sheets.figure(block.svg, PICTURE_SCALE, "", _filled(block.sentence))
        return
    if block.title:
        sheets.left -= BETWEEN
        sheets.text(_filled(block.title), below=36.0, face="bold")
    if isinstance(block, Points):
        sheets.text("\n".join(_points(block)))
    elif isinstance(block, Table):
        sheets.table(columns(block.rows, left=len(block.rows[0])))
    else:
        sheets.table(block.text)


def _points(block: Points) -> Iterator[str]:
    for line in block.lines:
        yield textwrap.fill(
            _said(line), COLUMNS[TEXT], initial_indent="•  ", subsequent_indent="    "
        )


def _filled(text: str, size: float = TEXT) -> str:
    """Text in lines that fit the sheet."""
    return textwrap.fill(_said(text), COLUMNS[size])


def _said(text: str) -> str:
    """A sentence in which commands are between quotation marks."""
    return COMMAND.sub(r"“\1”", text)
