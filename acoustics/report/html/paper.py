"""A report on sheets of A4, as PDF; equal reports give equal files."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure
from matplotlib.transforms import Bbox

from acoustics.figures.drawing_tiles import paper_size
from acoustics.figures.style import INK, PAPER, QUIET, WORDS
from acoustics.files import complete_file
from acoustics.report.html.chart_paper import draw_chart
from acoustics.report.html.content import Block, Chart, Page, Picture, Points, Table
from acoustics.report.plain_text import columns

INCH = 25.4
"""mm"""

MARGIN = 0.75
"""inches: round everything"""

SPACING = 1.25
"""from line to line, in the size of their letters"""

CHART_HEIGHT = 2.9
"""inches"""

COLUMNS = {9.0: 92, 12.0: 70, 11.0: 76, 17.0: 48}
"""letters of a line, by their size in points; letters of even width have their own"""

MONO, MONO_FONT = 7.5, "DejaVu Sans Mono"

NEEDED_BELOW = 1.2
"""inches that must be left below a heading"""


def save_report_pdf(page: Page, file: Path) -> Path:
    """Write a report as PDF.

    Raises:
        RoundoverError: the file cannot be written.
    """
    nothing: dict[str, Any] = dict.fromkeys(("Creator", "Producer", "CreationDate"))
    known = {**nothing, "Title": page.title}
    with complete_file(file) as part, PdfPages(part, metadata=known) as pdf:
        for figure, picture in _sheets(page):
            if picture:
                pdf.savefig(figure, bbox_inches=_sheet_round(figure))
            else:
                pdf.savefig(figure)
    return file


class Sheets:
    """Sheets that are filled from the top."""

    def __init__(self) -> None:
        self.width, self.height = (side / INCH for side in paper_size("A4"))
        self.full: list[Figure] = []
        self.figure: Figure | None = None
        self.left = 0.0

    def room(self, height: float) -> Figure:
        """The sheet that has so much room left (inches), the next one if this has not."""
        if self.figure is None or self.left < height:
            self.close()
            self.figure = Figure(figsize=(self.width, self.height), facecolor=PAPER)
            FigureCanvasAgg(self.figure)
            self.left = self.height - 2 * MARGIN
        return self.figure

    def close(self) -> None:
        """Put the sheet aside."""
        if self.figure is not None:
            self.full.append(self.figure)
        self.figure = None

    def take(self) -> list[Figure]:
        """All sheets so far."""
        self.close()
        done, self.full = self.full, []
        return done

    def text(self, text: str, size: float = 9.0, *, below: float = 0.0, **how: Any) -> None:
        """Lines of text, over several sheets if need be; `below` inches must be left after them."""
        lines = text.split("\n")
        height = size * SPACING / 72
        while lines:
            figure = self.room(min(len(lines), 2) * height + below)
            count = max(1, int(self.left / height))
            figure.text(
                MARGIN / self.width,
                (MARGIN + self.left) / self.height,
                "\n".join(lines[:count]),
                fontsize=size,
                va="top",
                linespacing=SPACING,
                **{"color": INK, **WORDS, **how},
            )
            self.left -= len(lines[:count]) * height
            lines = lines[count:]
        self.left -= 0.08

    def chart(self, chart: Chart) -> None:
        """A chart between its question and what to see in it."""
        told = textwrap.fill(chart.sentence, COLUMNS[9.0])
        words = (told.count("\n") + 3) * 9.0 * SPACING / 72
        self.room(CHART_HEIGHT + words)
        self.text(textwrap.fill(chart.title, COLUMNS[11.0]), 11.0)
        figure = self.room(CHART_HEIGHT)
        across, below, above = 4.7, 0.5, 0.05
        place = (
            (MARGIN + 0.5) / self.width,
            (MARGIN + self.left - CHART_HEIGHT + below) / self.height,
            across / self.width,
            (CHART_HEIGHT - below - above) / self.height,
        )
        draw_chart(figure.add_axes(place), chart)
        self.left -= CHART_HEIGHT
        self.text(told, color=QUIET)
        self.left -= 0.12


def _sheets(page: Page) -> Iterator[tuple[Figure, bool]]:
    """Every sheet, and whether it is a drawn figure that stands alone."""
    sheets = Sheets()
    _front(sheets, page)
    for part in page.sections:
        drawn = [block for block in part.blocks if isinstance(block, Picture)]
        rest = [block for block in part.blocks if not isinstance(block, Picture)]
        if rest:
            sheets.left -= 0.15
            first = CHART_HEIGHT + 0.8 if isinstance(rest[0], Chart) else NEEDED_BELOW
            sheets.text(part.title, 12.0, below=first, fontweight="bold")
        for block in sorted(rest, key=lambda each: not isinstance(each, Chart)):
            _put(sheets, block)
        if drawn:
            yield from ((figure, False) for figure in sheets.take())
        for picture in drawn:
            _caption(picture)
            yield picture.figure, True
    yield from ((figure, False) for figure in sheets.take())


def _front(sheets: Sheets, page: Page) -> None:
    """What is asked first."""
    sheets.text(textwrap.fill(page.title, COLUMNS[17.0]), 17.0, fontweight="bold")
    sheets.text(textwrap.fill(page.answer, COLUMNS[12.0]), 12.0)
    if page.changes:
        _put(sheets, Points(page.changes, "What to change"))
    rows = [("", "key figure"), *((name, value) for name, value in page.figures)]
    _put(sheets, Table(tuple(rows), "", "Key figures"))
    lines = tuple(f"{one.state}: {one.text}" for one in page.judged)
    if lines:
        _put(sheets, Points(lines, "What was asked for"))
    sheets.text(textwrap.fill(page.made_by, COLUMNS[9.0]), color=QUIET)


def _put(sheets: Sheets, block: Block) -> None:
    if isinstance(block, Chart):
        sheets.chart(block)
        return
    if isinstance(block, Picture):
        return
    if block.title:
        sheets.left -= 0.06
        sheets.text(textwrap.fill(block.title, 80), 9.0, below=0.5, fontweight="bold")
    if isinstance(block, Points):
        lines = [
            textwrap.fill(line, COLUMNS[9.0], initial_indent="•  ", subsequent_indent="    ")
            for line in block.lines
        ]
        sheets.text("\n".join(lines))
        return
    text = columns(block.rows, left=len(block.rows[0])) if isinstance(block, Table) else block.text
    sheets.text(text, MONO, fontfamily=MONO_FONT)


def _caption(picture: Picture) -> None:
    """Put what to see in a figure below it, and hold fast what would go with the sheet's size."""
    figure = picture.figure
    figure.set_layout_engine("none")
    for legend in figure.legends:
        place = legend.get_window_extent().transformed(figure.transFigure.inverted())
        legend.set_loc("lower left")
        legend.borderaxespad = 0.0
        legend.set_bbox_to_anchor((place.x0, place.y0), transform=figure.transFigure)
    figure.text(
        0.015,
        -0.1 / figure.get_figheight(),
        textwrap.fill(picture.sentence, COLUMNS[9.0]),
        fontsize=9.0,
        va="top",
        color=QUIET,
        **WORDS,
    )


def _sheet_round(figure: Figure) -> Bbox:
    """A sheet of A4 with the figure at its top, in inches from the figure's corner."""
    width, height = (side / INCH for side in paper_size("A4"))
    wide, high = figure.get_size_inches()
    left, above = (width - wide) / 2, MARGIN
    return Bbox([[-left, high + above - height], [wide + left, high + above]])
