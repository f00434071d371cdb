"""The first pages of a drawing's PDF: all of it small, how to print and join, and its notes."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from reportlab.pdfgen.canvas import Canvas

from acoustics.figures.drawing_ink import (
    CAPITALS,
    points,
    put_marks,
    put_rectangle,
    put_words,
)
from acoustics.figures.drawing_marks import Marks, marks_of
from acoustics.figures.drawing_square import COLOUR, SIDE, draw_square
from acoustics.figures.drawing_tiles import MARGIN, PAD, Tiling, paper_size
from acoustics.figures.paper import Ink, width
from acoustics.studies.drawings import Drawing

TITLE, TEXT = 3.2, 2.2
"""mm: heights of capitals"""

TILE_NAME = 1.6
"""likewise, of the sheets' names, which are smaller where sheets are narrow"""

LINE = 1.75
"""from one line to the next, in heights of capitals"""

BESIDE_SQUARE = 5.0
"""mm: between the square and the words beside it"""

LETTER = 1.75
"""mm: how wide a letter of the notes is, about"""


GOES_ON = "… more notes on the next page"


def put_overview(canvas: Canvas, drawing: Drawing, tiling: Tiling, paper: str) -> None:
    """The overview on an upright sheet; notes that it has no room for follow on further ones."""
    size = paper_size(paper)
    canvas.setPageSize(points(size))
    top = _title(canvas, drawing, size)
    draw_square(canvas, (size[0] - MARGIN - SIDE, MARGIN))
    floor = MARGIN + SIDE + 4.0
    _small(canvas, drawing, tiling, (MARGIN, floor, size[0] - MARGIN, top))
    lines = list(_lines(drawing, tiling, paper, size[0] - 2 * MARGIN - SIDE - BESIDE_SQUARE))
    room = int(SIDE / (LINE * TEXT))
    if len(lines) > room:
        lines.insert(room - 1, GOES_ON)
    _write(canvas, lines[:room], MARGIN + SIDE - TEXT)
    canvas.showPage()
    rest = lines[room:]
    while rest:
        top = _title(canvas, drawing, size)
        draw_square(canvas, (size[0] - MARGIN - SIDE, MARGIN))
        room = int((top - MARGIN) / (LINE * TEXT)) - 1
        _write(canvas, rest[:room], top - LINE * TEXT)
        canvas.showPage()
        rest = rest[room:]


def _title(canvas: Canvas, drawing: Drawing, size: tuple[float, float]) -> float:
    """Write subject and title; returns what height is left below them, mm."""
    top = size[1] - MARGIN
    for text in (drawing.subject, drawing.title):
        for line in textwrap.wrap(text, int((size[0] - 2 * MARGIN) / 2.7)):
            top -= TITLE
            put_words(canvas, line, MARGIN, top, TITLE)
            top -= (LINE - 1) * TITLE
    return top


def _write(canvas: Canvas, lines: list[str], top: float) -> None:
    for number, line in enumerate(lines):
        put_words(canvas, line, MARGIN, top - LINE * TEXT * number, TEXT)


def _lines(drawing: Drawing, tiling: Tiling, paper: str, width: float) -> Iterator[str]:
    """How to print, then the notes, broken into lines of so many millimetres."""
    turned = tiling.paper[0] > tiling.paper[1]
    how = [
        f"{tiling.count} sheets of {paper}{' (turned)' if turned else ''} follow at true size, "
        f"{tiling.rows} rows of {tiling.columns}. Print at 100 %, measure the square on each."
        if tiling.count > 1
        else f"One sheet of {paper} follows at true size. Print at 100 %, measure its square.",
    ]
    if tiling.count > 1:
        how.append(
            "To join: cut each sheet at its lines 'cut here', lay it on its neighbours so that the "
            "crosses meet, check the whole width and height with a tape, then glue."
        )
    how.append("Black: outline. Red: cut; dashed: not stated. Blue: only shown. All in mm.")
    for text in (*how, "", *drawing.notes):
        yield from textwrap.wrap(text, int(width / LETTER), subsequent_indent="   ") or [""]


def _small(
    canvas: Canvas, drawing: Drawing, tiling: Tiling, box: tuple[float, float, float, float]
) -> None:
    """The whole drawing in a box (left, bottom, right, top) of the page, with its sheets."""
    scale, marks = _fitted(drawing, box[2] - box[0], box[3] - box[1])
    spare = (box[2] - box[0]) - scale * (marks.right - marks.left)
    at = box[0] - scale * marks.left + spare / 2, box[3] - scale * marks.top
    ink = Ink(COLOUR, width=0.4, dashes=(0.8, 0.8))
    for tile in tiling.tiles() if tiling.count > 1 else ():
        # Of what two sheets show, the later one's counts; beyond the outline there is only paper.
        left, top = tile.left, tile.bottom + tiling.window[1]
        last = tile.column == tiling.columns - 1
        right = marks.size[0] + PAD if last else left + tiling.step[0]
        bottom = -PAD if tile.row == tiling.rows - 1 else top - tiling.step[1]
        corner = at[0] + scale * left, at[1] + scale * bottom
        wide, high = scale * (right - left), scale * (top - bottom)
        put_rectangle(canvas, corner, (wide, high), ink)
        name = f"row {tile.row + 1}, column {tile.column + 1}"
        room = (wide - 2) / width(name, 1 / CAPITALS)
        size = max(min(TILE_NAME, room), 0.1)
        put_words(canvas, name, corner[0] + 1, corner[1] + high - 2.5, size, color=COLOUR)
    put_marks(canvas, (*marks.on, *marks.around), at, scale)


def _fitted(drawing: Drawing, wide: float, high: float) -> tuple[float, Marks]:
    """The largest scale, up to 1, at which a drawing fits with letters of one size on paper."""
    scale = 1.0
    for _ in range(40):
        marks = marks_of(drawing, TEXT / scale, notes=False, brief=True)
        fits = min(wide / (marks.right - marks.left), high / (marks.top - marks.bottom))
        if fits >= scale:
            break
        scale = 0.97 * scale if fits > 0.97 * scale else fits
    return scale, marks
