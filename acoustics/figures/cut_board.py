"""A board by itself with all that a drawing must say: sizes, corners, holes, tilted edges."""

from __future__ import annotations

import string
import textwrap
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Circle, Polygon, Rectangle

from acoustics.figures.cut_plan import BOARD
from acoustics.figures.front_face import MM
from acoustics.figures.style import INK, PAPER, QUIET, TICK, WORDS, panel_title
from acoustics.structure.board_model import Board, Hole
from acoustics.structure.cutting import CutRow, rectangular
from acoustics.studies.board_words import edge_words, hole_words, note_words
from acoustics.studies.wording import tenths

TITLE_LETTERS, NOTE_LETTERS = 33, 46
"""letters of a title, and of a line below a board, that a panel has room for"""

SPACING = 1.3
"""of lines below a board, in their height"""

SMALL = 9.0
"""points"""

LEAST_SIDE = 0.1
"""of the longer side: a board narrower than that is drawn this wide"""

HOLE = "#8a5a17"

OTHER_EDGE = {"top": "its upper edge is at the back", "bottom": "its upper edge is at the front"}
"""how boards that lie level are drawn"""


def board_title(row: CutRow) -> str:
    """What a row of boards is called, how many there are, and how thick."""
    count = f"{row.count} × " if row.count > 1 else ""
    text = f"{count}{row.name}: {tenths(row.thickness)} mm {row.material}"
    return textwrap.fill(text, TITLE_LETTERS)


def draw_board(axes: Axes, board: Board, row: CutRow) -> Axes:
    """Draw a board as one sees it from outside; a shelf from above, its front below.

    Args:
        axes: where to draw, in millimetres from the lower left of the rectangle round the board.
        board: one of the row's.
        row: for its count and its notes.

    Returns:
        The axes. A narrow board is drawn wider than it is; the sizes told are its own.
    """
    wide, high = (MM * size for size in board.size)
    least = LEAST_SIDE * max(wide, high)
    stretch = np.array([max(1.0, least / wide), max(1.0, least / high)])
    outline = MM * np.array(board.outline) * stretch
    axes.add_patch(Polygon(outline, facecolor=BOARD, edgecolor=INK, linewidth=1.4))
    for letter, hole in zip(string.ascii_lowercase, board.holes, strict=False):
        _draw_hole(axes, hole, outline, letter)
    shown = np.array([wide, high]) * stretch
    _dimension(axes, shown, *map(tenths, board.size))
    room = 0.16 * max(shown)
    axes.set_xlim(-room, shown[0] + room)
    axes.set_ylim(-room, shown[1] + 0.06 * max(shown))
    axes.set_aspect("equal", adjustable="box", anchor="NW")
    axes.set_axis_off()
    panel_title(axes, board_title(row))
    return axes


def draw_board_notes(axes: Axes, board: Board, row: CutRow) -> Axes:
    """Write below a board what its drawing does not show."""
    axes.text(
        0.0,
        1.0,
        "\n".join(board_notes(board, row)),
        transform=axes.transAxes,
        va="top",
        fontsize=SMALL,
        color=INK,
        linespacing=SPACING,
        **WORDS,
    )
    axes.set_axis_off()
    return axes


def board_notes(board: Board, row: CutRow) -> list[str]:
    """Lines below a board: its holes, tilted and rebated edges, and what else is to be known."""
    points = [
        f"{letter} {hole_words(hole)}"
        for letter, hole in zip(string.ascii_lowercase, board.holes, strict=False)
    ]
    points += _rims(board)
    points += edge_words(row)
    points += [OTHER_EDGE[board.name]] if board.name in OTHER_EDGE else []
    points += note_words(row, board)
    return [
        line
        for point in points
        for line in textwrap.wrap(point, NOTE_LETTERS, subsequent_indent="  ")
    ]


def _rims(board: Board) -> list[str]:
    """How much an opening leaves of a rectangle."""
    return [
        f"{tenths((board.size[0] - hole.size[0]) / 2)} left at the sides, "
        f"{tenths((board.size[1] - hole.size[1]) / 2)} front and back"
        for hole in board.holes
        if hole.kind == "opening" and rectangular(board)
    ]


def _draw_hole(axes: Axes, hole: Hole, outline: np.ndarray, letter: str) -> None:
    how: dict[str, Any] = {"facecolor": PAPER, "edgecolor": HOLE, "linewidth": 1.2}
    x, y = (MM * place for place in hole.centre)
    if hole.kind == "round":
        axes.add_patch(Circle((x, y), MM * hole.size[0] / 2, **how))
    elif hole.kind == "rectangle":
        wide, high = (MM * size for size in hole.size)
        axes.add_patch(Rectangle((x - wide / 2, y - high / 2), wide, high, **how))
    else:
        low, reach = outline.min(axis=0), np.ptp(outline, axis=0)
        size = MM * np.array(hole.size)
        inner = np.array([x, y]) + (outline - low - reach / 2) * (size / reach)
        axes.add_patch(Polygon(inner, **how))
    axes.text(x, y, letter, ha="center", va="center", fontsize=TICK, color=HOLE, **WORDS)


def _dimension(axes: Axes, shown: np.ndarray, across: str, upward: str) -> None:
    """Arrows below and to the left, with what they measure."""
    tip: dict[str, Any] = {"arrowstyle": "<->", "color": QUIET, "shrinkA": 0, "shrinkB": 0}
    away = 0.05 * shown.max()
    words: dict[str, Any] = {
        "fontsize": TICK,
        "color": INK,
        "textcoords": "offset points",
        **WORDS,
    }
    axes.annotate("", (0, -away), (shown[0], -away), arrowprops=tip)
    axes.annotate(across, (shown[0] / 2, -away), (0, -5), ha="center", va="top", **words)
    axes.annotate("", (-away, 0), (-away, shown[1]), arrowprops=tip)
    axes.annotate(
        upward, (-away, shown[1] / 2), (-5, 0), ha="right", va="center", rotation=90, **words
    )
