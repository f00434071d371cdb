"""The figure that says which spreads matter, and which do not."""

from __future__ import annotations

import textwrap

import numpy as np
import xarray as xr
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from acoustics.figures.style import (
    QUIET,
    SERIES,
    head,
    head_height,
    key,
    new_figure,
)
from acoustics.figures.tolerance_weights import Row, draw_weights, rows_height, share_of
from acoustics.figures.tolerance_words import headed
from acoustics.studies.tolerance.answers import (
    figure_name,
    leading,
    spread_name,
    told_figures,
    within_words,
)

MOST_SPREADS = 10
MOST_FIGURES = 6
COLUMNS = 3
"""panels side by side"""

TITLE_COLUMNS = 13
"""letters of a panel's title in a line"""

NO_BREAK = "\u00a0"
"""a blank at which no line is broken"""

LINE = 0.175
"""inches of a line of a spread's name"""


def weights_sheet(found: xr.Dataset) -> Figure | None:
    """Bars of both indices of the spreads that matter most; None where no indices are told."""
    told = told_figures(found)
    total = found.total_order.transpose("spread", "figure").values
    known = [n for n in told if np.isfinite(total[:, n]).any()]
    shown = known[:MOST_FIGURES]
    if not shown:
        return None
    rows = _rows(found, shown)
    titles = [textwrap.wrap(figure_name(found, n), TITLE_COLUMNS) for n in shown]
    deepest = max(map(len, titles))
    columns = min(COLUMNS, len(shown))
    lines = -(-len(shown) // columns)
    more = " ".join(_notes(found, told, known, shown))
    headed_by = headed(found, "Which spreads matter, and for what?", more)
    panels = lines * (LINE * rows_height(rows) + 0.2 * deepest + 0.65)
    figure, axes = new_figure(head_height(*headed_by) + panels + 0.5, rows=lines, columns=columns)
    for panel in axes.flat[len(shown) :]:
        panel.set_axis_off()
    for i, (panel, title) in enumerate(zip(axes.flat, titles, strict=False)):
        # Titles of all panels end at the same height.
        draw_weights(panel, rows, i, title="\n".join(title), named=i % columns == 0)
        if i // columns < lines - 1 and i + columns < len(shown):
            panel.set_xlabel("")
    key(axes[0, 0], curves=_meanings())
    head(figure, *headed_by)
    return figure


def _rows(found: xr.Dataset, figures: list[int]) -> list[Row]:
    """Kinds, those with the largest part first, each with its spreads that matter most below."""
    first, total = (
        found[name].transpose("spread", "figure").values[:, figures]
        for name in ("first_order", "total_order")
    )
    together = found.kind_order.transpose("kind", "figure").values[:, figures]
    kinds = [str(kind) for kind in found.kind.values]
    chosen = leading(found, figures, MOST_SPREADS)
    rows = []
    for k in np.argsort(-np.nan_to_num(together).max(axis=1), kind="stable"):
        own = [n for n in chosen if str(found.spread_kind.values[n]) == kinds[k]]
        if not own:
            continue
        all_of = np.flatnonzero(found.spread_kind.values == kinds[k]).size
        if all_of > 1:
            whole = share_of(together[k])
            count = "both" if all_of == 2 else f"all {all_of}"
            rows.append(Row(f"{count} {KINDS.get(kinds[k], kinds[k])}", True, whole, whole))
        for n in own:
            within = within_words(found, n).replace(" ", NO_BREAK)
            label = f"{spread_name(found, n)} {within}"
            rows.append(Row(label, False, share_of(first[n]), share_of(total[n])))
    return rows


KINDS = {
    "position": "places",
    "level": "levels",
    "delay": "delays",
    "part": "parts",
    "driver parameter": "driver parameters",
    "key": "other keys",
}
"""Several spreads of a kind, in words."""


def _meanings() -> list[Patch | Line2D]:
    return [
        Patch(facecolor=SERIES[0], label="by itself (first order)"),
        Patch(facecolor="none", edgecolor=SERIES[1], label="and with others (total)"),
        Patch(facecolor=QUIET, label="all of a kind together"),
    ]


def _notes(found: xr.Dataset, told: list[int], known: list[int], shown: list[int]) -> list[str]:
    """Of which figures nothing is shown, and why."""
    notes = [
        f'No bars for "{figure_name(found, n)}": {found.index_note.values[n]}.'
        for n in told
        if n not in known
    ]
    if len(known) > len(shown):
        notes.append(f"{len(known) - len(shown)} more figures are in summary.txt and table.csv.")
    return notes
