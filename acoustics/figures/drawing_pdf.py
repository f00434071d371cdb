"""A drawing as a PDF: an overview, then sheets to print at 100 % and to join."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

import numpy as np
from reportlab.pdfgen.canvas import Canvas

from acoustics.figures.drawing_ink import points, put_line, put_marks, put_words
from acoustics.figures.drawing_marks import Circle, Mark, Marks, marks_of
from acoustics.figures.drawing_overview import put_overview
from acoustics.figures.drawing_square import SIDE, draw_square
from acoustics.figures.drawing_tiles import MARGIN, OVERLAP, Tile, Tiling, tiling_of
from acoustics.figures.paper import Ink, blank, clip, line, moved, save
from acoustics.figures.style import INK, QUIET
from acoustics.studies.drawings import Drawing, plain

TICK = 4.0
"""mm: length of the marks at which sheets are cut and joined"""

PLACES = 4
"""across and upward, where the square may lie"""

SMALL = 2.0
"""mm: height of capitals at the head of a sheet"""

HINT = 1.7
"""likewise, beside lines to cut and to join"""


def save_drawing_pdf(drawing: Drawing, file: Path, paper: str = "A4") -> Path:
    """Write a drawing to a PDF: overview and notes first, then its sheets row by row.

    Equal drawings give equal bytes.

    Raises:
        RoundoverError: a paper other than A4 and A3, or a file that cannot be written.
    """
    marks = marks_of(drawing, notes=False)
    tiling = tiling_of(marks.size, paper)
    canvas = blank(plain(f"{drawing.subject}: {drawing.title}"), points(tiling.paper))
    put_overview(canvas, drawing, tiling, paper)
    _put_sheets(canvas, drawing, marks, tiling)
    return save(canvas, file)


def _put_sheets(canvas: Canvas, drawing: Drawing, marks: Marks, tiling: Tiling) -> None:
    """What is to be printed and joined, row by row."""
    canvas.setPageSize(points(tiling.paper))
    for number, tile in enumerate(tiling.tiles(), start=1):
        _seams(canvas, tiling, tile)
        at = MARGIN - tile.left, MARGIN - tile.bottom
        draw_square(canvas, _square_at(tiling, marks.on, at))
        left, bottom = MARGIN, MARGIN
        right, top = MARGIN + tiling.window[0], MARGIN + tiling.window[1]
        window = ((left, bottom), (right, bottom), (right, top), (left, top))
        with moved(canvas):
            clip(canvas, line(map(points, window), closed=True))
            put_marks(canvas, marks.on, at)
        _head(canvas, drawing, tiling, tile, number)
        canvas.showPage()


def _square_at(
    tiling: Tiling, marks: Iterable[Mark], at: tuple[float, float]
) -> tuple[float, float]:
    """Where on a page the square lies in the way of the fewest circles, between the seams."""
    first = MARGIN + OVERLAP + 2.0
    aside, above = (
        np.linspace(first, max(first, MARGIN + reach - OVERLAP - 2.0 - SIDE), PLACES).tolist()
        for reach in tiling.window
    )
    circles = [mark for mark in marks if isinstance(mark, Circle)]

    def met(corner: tuple[float, float]) -> int:
        return sum(
            all(
                corner[i] - one.radius < one.centre[i] + at[i] < corner[i] + SIDE + one.radius
                for i in (0, 1)
            )
            for one in circles
        )

    return min(((x, y) for y in above for x in aside), key=met)


def _head(canvas: Canvas, drawing: Drawing, tiling: Tiling, tile: Tile, number: int) -> None:
    top = tiling.paper[1] - MARGIN - SMALL
    where = f"row {tile.row + 1} of {tiling.rows}, column {tile.column + 1} of {tiling.columns}"
    numbered = f"{where}  (sheet {number} of {tiling.count})"
    put_words(canvas, numbered, MARGIN, top, SMALL, face="bold")
    subject = f"{drawing.subject}: {drawing.title}"
    put_words(canvas, subject, MARGIN, top - 1.9 * SMALL, SMALL)


def _seams(canvas: Canvas, tiling: Tiling, tile: Tile) -> None:
    """Where to cut a sheet, and up to where its neighbours reach; crosses where they meet.

    A sheet lies on those to its left and above it: it is cut at its own left and upper end.
    """
    left, bottom = MARGIN, MARGIN
    right, top = MARGIN + tiling.window[0], MARGIN + tiling.window[1]
    joins = {
        "left": tile.column > 0,
        "right": tile.column < tiling.columns - 1,
        "top": tile.row > 0,
        "bottom": tile.row < tiling.rows - 1,
    }
    cut = Ink(QUIET, width=0.5)
    join = Ink(QUIET, width=0.5, dashes=(1.0, 1.5))
    if joins["left"]:
        put_line(canvas, ((left, bottom), (left, top)), cut)
    if joins["top"]:
        put_line(canvas, ((left, top), (right, top)), cut)
    if joins["right"]:
        put_line(canvas, ((right - OVERLAP, bottom), (right - OVERLAP, top)), join)
    if joins["bottom"]:
        put_line(canvas, ((left, bottom + OVERLAP), (right, bottom + OVERLAP)), join)
    _hints(canvas, tiling, joins)
    # On both of two neighbours, where their ends cross: the crosses must meet.
    across = [x for x, side in ((left, "left"), (right - OVERLAP, "right")) if joins[side]]
    upward = [y for y, side in ((top, "top"), (bottom + OVERLAP, "bottom")) if joins[side]]
    if not any(joins.values()):
        return
    cross = Ink(INK, width=0.5)
    for x in across or (left, right - OVERLAP):
        for y in upward or (top, bottom + OVERLAP):
            put_line(canvas, ((x - TICK, y), (x + TICK, y)), cross)
            put_line(canvas, ((x, y - TICK), (x, y + TICK)), cross)


def _hints(canvas: Canvas, tiling: Tiling, joins: dict[str, bool]) -> None:
    wide, high = tiling.window
    across, up = MARGIN + wide / 2, MARGIN + high / 2
    right, low = MARGIN + wide - OVERLAP, MARGIN + OVERLAP
    clear = 0.3 * HINT
    turned: dict[str, Any] = {"anchor": "middle", "color": QUIET, "turned": True}
    level: dict[str, Any] = {"anchor": "middle", "color": QUIET}
    if joins["left"]:
        put_words(canvas, "cut here", MARGIN - 1 - clear, up, HINT, **turned)
    if joins["top"]:
        put_words(canvas, "cut here", across, MARGIN + high + 0.8 + clear, HINT, **level)
    if joins["right"]:
        words = "the next sheet's left end lies here"
        put_words(canvas, words, right + 1 + HINT, up, HINT, **turned)
    if joins["bottom"]:
        words = "the upper end of the sheet below lies here"
        put_words(canvas, words, across, low - 1 - HINT, HINT, **level)
