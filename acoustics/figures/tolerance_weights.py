"""What matters: the part that each spread has in the variance of some figures."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import MultipleLocator

from acoustics.figures.style import FONT, INK, NOTE, QUIET, SERIES, WORDS, labels, panel_title

LABEL_COLUMNS = 24
"""letters of a spread's name in a line"""

LINE, GAP, BAR = 1.0, 0.5, 0.8
"""height of a line of a name, between rows, and of a bar, in lines"""


LEAST = 0.5
"""per cent: less is drawn as nothing"""


@dataclass(frozen=True)
class Row:
    """A row of bars: a kind as a whole, or one spread; indices of every figure, from 0 to 1.

    Of a kind `inner` is what all of it make together and `outer` the same; of a spread the
    first-order and the total index.
    """

    label: str
    is_kind: bool
    inner: tuple[float, ...]
    outer: tuple[float, ...]

    @property
    def lines(self) -> list[str]:
        """The label as it is set."""
        return textwrap.wrap(self.label, LABEL_COLUMNS) or [""]


def rows_height(rows: Sequence[Row]) -> float:
    """Height that some rows take, in lines."""
    return sum(len(row.lines) * LINE + GAP for row in rows)


def draw_weights(axes: Axes, rows: Sequence[Row], figure: int, *, title: str, named: bool) -> Axes:
    """Draw the rows' bars for one figure, the first row on top.

    Args:
        axes: where to draw.
        rows: what strays.
        figure: which of the rows' indices.
        title: the figure, in lines.
        named: whether the rows' labels stand at the left.
    """
    places, at = [], 0.0
    for row in rows:
        height = len(row.lines) * LINE + GAP
        places.append(at + height / 2)
        at += height
    for row, place in zip(rows, places, strict=True):
        inner, outer = (100 * share[figure] for share in (row.inner, row.outer))
        if outer < LEAST:
            continue
        if row.is_kind:
            axes.barh(place, inner, BAR, color=QUIET)
            continue
        axes.barh(place, outer, BAR, facecolor="none", edgecolor=SERIES[1], linewidth=1.2)
        axes.barh(place, inner, 0.55 * BAR, color=SERIES[0])
    labels(axes, "% of variance", "")
    axes.grid(False, axis="y")
    axes.set_xlim(0, 100)
    axes.xaxis.set_major_locator(MultipleLocator(50))
    axes.xaxis.set_minor_locator(MultipleLocator(10))
    axes.set_ylim(at, 0)
    axes.set_yticks(places, labels=["\n".join(row.lines) if named else "" for row in rows])
    for row, tick in zip(rows, axes.get_yticklabels(), strict=True):
        tick.set(fontsize=NOTE, color=QUIET if row.is_kind else INK, linespacing=1.0, **WORDS)
    axes.tick_params(axis="y", length=0, labelfontfamily=FONT)
    panel_title(axes, title)
    return axes


def share_of(values: np.ndarray) -> tuple[float, ...]:
    """Indices as numbers; those that are not told are left out as 0."""
    return tuple(float(value) for value in np.nan_to_num(values))
