"""The figures of a cut list: boards laid out on sheets, and each board by itself."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.figure import Figure

from acoustics.figures.cut_board import board_notes, board_title, draw_board, draw_board_notes
from acoustics.figures.cut_plan import board_words, draw_cut_plan, letters_told
from acoustics.figures.style import (
    QUIET,
    WIDTH,
    WORDS,
    head,
    head_height,
    new_figure,
    panel_title,
)
from acoustics.structure.board_model import Board
from acoustics.structure.cutting import CutList, CutRow
from acoustics.structure.nest_model import SheetPlan
from acoustics.studies.wording import tenths

COLUMNS = 2

TALLEST, FLATTEST = 2.6, 0.8
"""inches: heights within which a board is drawn"""

LINE, TITLE_LINE, GAP = 0.2, 0.21, 0.1
"""inches: a line of small letters, one of a title, and what is left free below"""

ORDER = "numbers: the order of cuts, each from edge to edge"

HOW_SEEN = "in mm, seen from outside; shelves from above, front below"


def cut_plan_sheet(title: str, plans: Sequence[SheetPlan]) -> Figure:
    """Every sheet, one above the other."""
    named = [board_words(plan) for plan in plans]
    beside = [letters_told(*each) for each in zip(plans, named, strict=True)]
    heights = [
        (WIDTH - 0.35) * plan.sheet.width / plan.sheet.length + 0.75 + LINE * len(lines)
        for plan, lines in zip(plans, beside, strict=True)
    ]
    words = "How do the boards come out of the sheets?", title, ORDER
    figure, axes = new_figure(
        sum(heights) + head_height(*words), rows=len(plans), height_ratios=heights
    )
    for number, (plan, own, lines) in enumerate(zip(plans, named, beside, strict=True)):
        panel = axes[number, 0]
        draw_cut_plan(panel, plan, own)
        thick = f"{tenths(plan.thickness)} mm {plan.material}"
        panel_title(panel, f"Sheet {number + 1}: {thick}, {100 * plan.used:.0f} % used")
        panel.text(
            0.0,
            -0.01,
            "\n".join(lines),
            transform=panel.transAxes,
            va="top",
            fontsize=9.0,
            color=QUIET,
            **WORDS,
        )
    head(figure, *words)
    return figure


def boards_sheet(title: str, cut: CutList) -> Figure:
    """One board of every row of the list."""
    boards = {board.name: board for board in cut.boards}
    shown = [(boards[row.names[0]], row) for row in cut.rows]
    pairs = [shown[start : start + COLUMNS] for start in range(0, len(shown), COLUMNS)]
    words = "What is each board like?", title, HOW_SEEN
    heights = []
    for pair in pairs:
        lines = max(len(board_notes(*one)) for one in pair)
        heights += [max(_height(*one) for one in pair), LINE * lines + GAP]
    figure, axes = new_figure(
        sum(heights) + head_height(*words),
        rows=len(heights),
        columns=COLUMNS,
        height_ratios=heights,
    )
    for panel in axes.flat:
        panel.set_axis_off()
    for row, pair in enumerate(pairs):
        for column, one in enumerate(pair):
            draw_board(axes[2 * row, column], *one)
            draw_board_notes(axes[2 * row + 1, column], *one)
    head(figure, *words)
    return figure


def _height(board: Board, row: CutRow) -> float:
    """Of a panel with its title, inches."""
    wide, high = board.size
    drawn = float(np.clip((WIDTH / COLUMNS - 0.3) * high / wide, FLATTEST, TALLEST))
    return drawn + TITLE_LINE * (board_title(row).count("\n") + 1.6)
