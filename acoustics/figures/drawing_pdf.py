"""A drawing as a PDF: an overview, then sheets to print at 100 % and to join."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from acoustics.figures.drawing_ink import page, put_marks, put_words
from acoustics.figures.drawing_marks import Circle, Mark, Marks, marks_of
from acoustics.figures.drawing_overview import overview_pages
from acoustics.figures.drawing_square import SIDE, draw_square
from acoustics.figures.drawing_tiles import MARGIN, OVERLAP, Tile, Tiling, tiling_of
from acoustics.figures.style import INK, QUIET
from acoustics.files import complete_file
from acoustics.studies.drawings import Drawing

TICK = 4.0
"""mm: length of the marks at which sheets are cut and joined"""

PLACES = 4
"""across and upward, where the square may lie"""

SMALL = 2.0
"""mm: height of capitals at the head of a sheet"""

HINT = 1.7
"""likewise, beside lines to cut and to join"""


def save_drawing_pdf(drawing: Drawing, file: Path, paper: str = "A4") -> Path:
    """Write a drawing to a PDF; equal drawings give equal bytes.

    Raises:
        RoundoverError: a paper other than A4 and A3, or a file that cannot be written.
    """
    pages = drawing_pages(drawing, paper)
    nothing = {"CreationDate": None, "Producer": None, "Creator": None}
    with complete_file(file) as part, PdfPages(part, metadata=nothing) as pdf:
        for figure in pages:
            pdf.savefig(figure)
    return file


def drawing_pages(drawing: Drawing, paper: str = "A4") -> list[Figure]:
    """The pages of a drawing: overview and notes first, then its sheets row by row.

    Raises:
        RoundoverError: a paper other than A4 and A3.
    """
    marks = marks_of(drawing, notes=False)
    tiling = tiling_of(marks.size, paper)
    return [*overview_pages(drawing, tiling, paper), *_sheets(drawing, marks, tiling)]


def _sheets(drawing: Drawing, marks: Marks, tiling: Tiling) -> Iterator[Figure]:
    for number, tile in enumerate(tiling.tiles(), start=1):
        figure, axes = page(tiling.paper)
        window = Rectangle((MARGIN, MARGIN), *tiling.window, fill=False, linewidth=0)
        axes.add_patch(window)
        _seams(axes, tiling, tile)
        at = MARGIN - tile.left, MARGIN - tile.bottom
        draw_square(axes, _square_at(tiling, marks.on, at))
        put_marks(axes, marks.on, at, window=window)
        _head(axes, drawing, tiling, tile, number)
        yield figure


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


def _head(axes: Axes, drawing: Drawing, tiling: Tiling, tile: Tile, number: int) -> None:
    top = tiling.paper[1] - MARGIN - SMALL
    where = f"row {tile.row + 1} of {tiling.rows}, column {tile.column + 1} of {tiling.columns}"
    put_words(
        axes, f"{where}  (sheet {number} of {tiling.count})", MARGIN, top, SMALL, weight="bold"
    )
    subject = f"{drawing.subject}: {drawing.title}"
    put_words(axes, subject, MARGIN, top - 1.9 * SMALL, SMALL, clip_on=True)


def _seams(axes: Axes, tiling: Tiling, tile: Tile) -> None:
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
    cut: dict[str, Any] = {"color": QUIET, "linewidth": 0.5}
    join: dict[str, Any] = {"color": QUIET, "linewidth": 0.5, "linestyle": (0, (2, 3))}
    if joins["left"]:
        axes.plot((left, left), (bottom, top), **cut)
    if joins["top"]:
        axes.plot((left, right), (top, top), **cut)
    if joins["right"]:
        axes.plot((right - OVERLAP,) * 2, (bottom, top), **join)
    if joins["bottom"]:
        axes.plot((left, right), (bottom + OVERLAP,) * 2, **join)
    _hints(axes, tiling, joins)
    # On both of two neighbours, where their ends cross: the crosses must meet.
    across = [x for x, side in ((left, "left"), (right - OVERLAP, "right")) if joins[side]]
    upward = [y for y, side in ((top, "top"), (bottom + OVERLAP, "bottom")) if joins[side]]
    if not any(joins.values()):
        return
    for x in across or (left, right - OVERLAP):
        for y in upward or (top, bottom + OVERLAP):
            axes.plot((x - TICK, x + TICK), (y, y), color=INK, linewidth=0.5)
            axes.plot((x, x), (y - TICK, y + TICK), color=INK, linewidth=0.5)


def _hints(axes: Axes, tiling: Tiling, joins: dict[str, bool]) -> None:
    middle = MARGIN + tiling.window[1] / 2, MARGIN + tiling.window[0] / 2
    look: dict[str, Any] = {"color": QUIET}
    edge = MARGIN + tiling.window[0] - OVERLAP, MARGIN + OVERLAP
    if joins["left"]:
        put_words(
            axes,
            "cut here",
            MARGIN - 1,
            middle[0],
            HINT,
            rotation=90,
            ha="right",
            va="center",
            **look,
        )
    if joins["top"]:
        above = MARGIN + tiling.window[1] + 0.8
        put_words(axes, "cut here", middle[1], above, HINT, ha="center", va="bottom", **look)
    if joins["right"]:
        words = "the next sheet's left end lies here"
        put_words(axes, words, edge[0] + 1, middle[0], HINT, rotation=90, va="center", **look)
    if joins["bottom"]:
        words = "the upper end of the sheet below lies here"
        put_words(axes, words, middle[1], edge[1] - 1, HINT, ha="center", va="top", **look)
