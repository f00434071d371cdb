"""What may be wrong, each with its probability as a bar."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes

from acoustics.figures.style import INK, NOTE, QUIET, SERIES, WORDS, labels
from acoustics.studies.wording import per_cent

COLUMNS = 70
"""letters of an explanation that fit the width"""

LINE, SPACE, BAR, GAP = 0.18, 0.07, 0.2, 0.22
"""inches: a line of words, from there to its bar, a bar, what is between two rows"""

MOST_LINES = 4


@dataclass(frozen=True)
class CauseRow:
    """An explanation in words, its probability, and whether it is a fault that is known."""

    words: str
    probability: float
    is_fault: bool


def cause_lines(row: CauseRow) -> list[str]:
    """An explanation's words, broken into lines."""
    # A number stays with its unit.
    words = re.sub(r"(?<=\d) (?=\S)", "\N{NO-BREAK SPACE}", row.words)
    return textwrap.wrap(words, COLUMNS, max_lines=MOST_LINES, placeholder="…")


def causes_height(rows: Sequence[CauseRow]) -> float:
    """Inches that all rows take."""
    return sum(LINE * len(cause_lines(row)) + SPACE + BAR + GAP for row in rows)


def draw_causes(axes: Axes, rows: Sequence[CauseRow]) -> Axes:
    """Draw a bar for every explanation, its words above it, the first at the top.

    Args:
        axes: where to draw, as high as `causes_height` says.
        rows: explanations.
    """
    down = 0.0
    for row in rows:
        lines = cause_lines(row)
        axes.text(
            0.0, down, "\n".join(lines), ha="left", va="top", fontsize=NOTE, color=INK,
            linespacing=1.15, **WORDS,
        )  # fmt: skip
        down += LINE * len(lines) + SPACE + BAR / 2
        share = 100 * row.probability
        axes.barh(down, share, height=BAR, color=SERIES[1] if row.is_fault else SERIES[0])
        axes.text(
            share + 1.0, down, per_cent(row.probability), ha="left", va="center", fontsize=NOTE,
            color=INK, **WORDS,
        )  # fmt: skip
        down += BAR / 2 + GAP
    labels(axes, "Probability in per cent")
    axes.grid(False)  # lines would run through the words
    axes.set_ylim(down, 0.0)
    axes.set_xlim(0.0, 124.0)
    axes.set_xticks(range(0, 101, 20))
    axes.set_yticks([])
    axes.spines["left"].set_color(QUIET)
    return axes
