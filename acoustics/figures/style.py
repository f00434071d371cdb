"""How every figure looks: size, type, colours and axes. Nothing global is changed.

Sizes are chosen so that a figure shrunk to half the width of an A4 page (90 mm) still has letters
of 6 points. Colours of curves have a contrast of at least 3:1 against white (WCAG 2.1, 1.4.11) and
stay apart for people with red, green or blue blindness; a dash pattern says the same again.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.layout_engine import ConstrainedLayoutEngine
from matplotlib.legend import Legend
from matplotlib.textpath import TextPath
from matplotlib.ticker import FixedLocator, FuncFormatter, MultipleLocator, NullFormatter

WIDTH = 6.3
"""inches: 160 mm"""

FONT = "DejaVu Sans"
WORDS: dict[str, Any] = {"fontfamily": FONT, "parse_math": False}
"""how all text is set: a $ in a design's name is a $, not the start of a formula"""
TITLE, LABEL, TICK, NOTE = 13.0, 12.0, 11.0, 11.0
"""points"""

TITLE_COLUMNS = 56
"""letters of a title that fit the width"""

TITLE_PAD = 6.0
"""points between a panel and its title"""

HEAD_SPACING = 1.35
"""of the lines of a title, in their height"""
HEAD_MARGINS = 0.3
"""inches: above and below a title and below the panels"""

KEY_COLUMNS, HANDLE_COLUMNS = 72, 8
"""letters of a key that fit the width, and how many of them a curve's sample takes"""

INK, QUIET, GRID, PAPER = "#1c222b", "#59636f", "#d7dce2", "#ffffff"

SERIES = ("#1c3f94", "#d1600f", "#3a9e6e", "#7b1040", "#8c86d8")
"""Colours of unordered things (drivers, designs); contrast 3.2 to 10.6 against white."""

DASHES: tuple[Any, ...] = ("-", (0, (6, 2)), (0, (2, 1.5)), (0, (7, 2, 1.5, 2)), (0, (1, 1)))

ORDERED = LinearSegmentedColormap.from_list(
    "ordered", ("#120c3a", "#45157a", "#84207c", "#bb3464", "#db5a3a", "#d27a14")
)
"""Dark to light for ordered curves: lightness rises all the way; contrast 18 down to 3."""

LOUDNESS = LinearSegmentedColormap.from_list(
    "loudness",
    (
        "#fbf8ee",
        "#efe3b8",
        "#c9d39a",
        "#86b99a",
        "#4796a5",
        "#2f6aa3",
        "#3b3d8c",
        "#3a1763",
        "#1d0430",
    ),
)
"""Paper for quiet to ink for loud: lightness falls all the way."""

FREQUENCIES = (20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000, 20_000)
"""Hz, labelled: preferred numbers (ISO 266)."""

FINE_FREQUENCIES = tuple(m * 10**n for n in (1, 2, 3, 4) for m in range(1, 10))

LEVEL_SPAN = 50.0
"""dB: a level axis shows this much unless told otherwise."""


LEAST_DIFFERENCE, MOST_DIFFERENCE = 3.0, 20.0
"""dB: a panel of differences reaches at least, and at most, this far up and down"""


def new_figure(height: float, *, rows: int = 1, columns: int = 1, **grid: Any) -> Any:
    """An empty figure of the common width and its axes.

    Args:
        height: inches.
        rows: panels one above the other.
        columns: panels side by side.
        grid: handed to `Figure.subplots`.

    Returns:
        The figure and its axes, an array of shape (rows, columns).
    """
    layout = ConstrainedLayoutEngine(h_pad=0.06, w_pad=0.06)
    figure = Figure(figsize=(WIDTH, height), layout=layout, facecolor=PAPER)
    FigureCanvasAgg(figure)
    return figure, figure.subplots(rows, columns, squeeze=False, **grid)


def divided(row: Sequence[Axes], count: int, least: int = 1) -> list[Axes]:
    """Panels of equal width in place of a row of a figure's panels.

    Args:
        row: all panels of the row.
        count: how many there will be.
        least: how many the row has room for at least; those left over stay empty.
    """
    place = row[0].get_subplotspec()
    assert place is not None
    grid = place.get_gridspec()[place.rowspan.start, :].subgridspec(1, max(count, least))
    figure = row[0].figure
    for panel in row:
        panel.remove()
    return [figure.add_subplot(grid[0, i]) for i in range(count)]


def head(
    figure: Figure, question: str, subject: str, more: str = "", *, y: float | None = None
) -> None:
    """The figure's title: the question it answers, and under it what it was answered for.

    `more` is what the reader must know beyond that. `y` is where its top is, as a part of the
    figure's height; left out, the figure's layout finds it.
    """
    text = "\n".join(head_lines(question, subject, more))
    look = {"fontsize": TITLE, "color": INK, "linespacing": HEAD_SPACING, **WORDS}
    figure.suptitle(text, x=0.015, y=y, ha="left", **look)


def head_lines(question: str, subject: str, more: str = "") -> list[str]:
    """Lines of a figure's title as `head` sets them."""
    lines = textwrap.wrap(question, TITLE_COLUMNS)
    for below in (subject, more):
        lines += textwrap.wrap(below, round(TITLE_COLUMNS * 1.15))
    return lines


def head_height(question: str, subject: str, more: str = "") -> float:
    """Height that a figure's title and the figure's margins take, inches."""
    lines = head_lines(question, subject, more)
    return HEAD_SPACING * TITLE * len(lines) / 72.0 + HEAD_MARGINS


def panel_title(axes: Axes, text: str, *, clear: float = 0.0) -> None:
    """What one panel of several shows; `clear` points are left for something below."""
    axes.set_title(text, loc="left", fontsize=LABEL, color=INK, pad=TITLE_PAD + clear, **WORDS)


def labels(axes: Axes, x: str = "", y: str = "") -> None:
    """Axis labels, each with its unit, and the common look of ticks and frame."""
    axes.set_xlabel(x, fontsize=LABEL, color=INK, **WORDS)
    axes.set_ylabel(y, fontsize=LABEL, color=INK, **WORDS)
    axes.tick_params(
        which="both", labelsize=TICK, labelfontfamily=FONT, color=QUIET, labelcolor=INK
    )
    axes.tick_params(which="minor", length=0)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    for side in ("left", "bottom"):
        axes.spines[side].set_color(QUIET)
    axes.grid(True, which="major", color=GRID, linewidth=0.8)
    axes.set_axisbelow(True)


def frequency_axis(axes: Axes, low: float = 20.0, high: float = 20_000.0) -> None:
    """A logarithmic frequency axis along x between `low` and `high` (Hz)."""
    axes.set_xscale("log")
    axes.set_xlim(low, high)
    # Marks beyond the ends would be made too, and that takes long.
    major, minor = (
        [mark for mark in marks if low <= mark <= high]
        for marks in ((10, *FREQUENCIES), FINE_FREQUENCIES)
    )
    axes.xaxis.set_major_locator(FixedLocator(major))
    axes.xaxis.set_major_formatter(FuncFormatter(lambda f, _: short_hertz(f)))
    axes.xaxis.set_minor_locator(FixedLocator(minor))
    axes.xaxis.set_minor_formatter(NullFormatter())
    axes.grid(True, axis="x", which="minor", color=GRID, linewidth=0.35)


def shown_frequencies(frequency: np.ndarray) -> tuple[float, float]:
    """Ends of the frequency axis for these frequencies: 20 Hz to 20 kHz unless they are fewer."""
    ends = np.array(FREQUENCIES)
    below, above = ends[ends <= frequency[0] * 1.05], ends[ends >= frequency[-1] / 1.05]
    low = below[-1] if below.size else frequency[0]
    high = above[0] if above.size else frequency[-1]
    if low >= high:  # all of them lie about one end
        low, high = frequency[0] / 1.05, frequency[-1] * 1.05
    return float(low), float(high)


def level_axis(axes: Axes, highest: float, span: float = LEVEL_SPAN) -> None:
    """A level axis along y with a line every 10 dB (5 dB when it spans 30 dB or less).

    Args:
        axes: the axes.
        highest: dB, the highest level drawn; the axis ends at the next 5 dB above it.
        span: dB, from the top of the axis to its bottom.
    """
    top = level_top(highest)
    axes.set_ylim(top - span, top)
    axes.yaxis.set_major_locator(MultipleLocator(5 if span <= 30 else 10))


def index_axis(axes: Axes, lowest: float, highest: float, least: float = 15.0) -> None:
    """A level axis for directivity indices (dB): from 0, or below where one is, to `least` up."""
    bottom = min(0.0, float(np.floor(lowest))) if np.isfinite(lowest) else 0.0
    axes.set_ylim(bottom, max(least, level_top(highest)))
    axes.yaxis.set_major_locator(MultipleLocator(5))


def level_top(highest: float) -> float:
    """The multiple of 5 dB that leaves at least 1 dB of air above the highest level."""
    return 5.0 * float(np.ceil((highest + 1.0) / 5.0)) if np.isfinite(highest) else 0.0


def difference_axis(axes: Axes, differences: Iterable[Any]) -> None:
    """A level axis about 0 that holds every difference (dB)."""
    reach = max(LEAST_DIFFERENCE, *(float(np.abs(each).max()) for each in differences))
    reach = min(float(np.ceil(reach)), MOST_DIFFERENCE)
    axes.set_ylim(-reach, reach)
    axes.yaxis.set_major_locator(MultipleLocator(1 if reach <= 5 else 5))


def short_hertz(frequency: float) -> str:
    """A frequency as a tick label: "500", "2k", "2.2k"."""
    return f"{frequency / 1000:.3g}k" if frequency >= 1000 else f"{frequency:.3g}"


def series(index: int) -> dict[str, Any]:
    """Colour and dashes of the curve at `index`; they repeat only when both have run out."""
    return {
        "color": SERIES[index % len(SERIES)],
        "linestyle": DASHES[(index + index // len(SERIES)) % len(DASHES)],
    }


def key(
    axes: Axes, *, beside: bool = False, title: str = "", curves: Sequence[Artist] | None = None
) -> Legend:
    """The key to the curves: outside the curves' way, below the axes or beside them.

    Args:
        axes: the axes whose curves are explained.
        beside: to the right of the axes instead of below.
        title: what the names have in common.
        curves: the curves to explain, all of the axes' unless given.
    """
    handles = named_curves(axes) if curves is None else list(curves)
    # The plotting library leaves out names that begin with an underscore.
    names = [re.sub("^_", " _", str(handle.get_label())) for handle in handles]
    place: dict[str, Any] = (
        {"loc": "upper left", "bbox_to_anchor": (1.01, 1.0)}
        if beside
        else {"loc": "outside lower left", "ncols": key_columns(names)}
    )
    legend: Legend = (axes if beside else axes.figure).legend(
        handles=handles,
        labels=names,
        **place,
        frameon=False,
        title=title or None,
        handlelength=2.6,
        borderaxespad=0.0 if beside else 0.4,
        labelcolor=INK,
        prop={"family": FONT, "size": NOTE},
        title_fontproperties={"family": FONT, "size": NOTE},
    )
    for text in legend.get_texts():
        text.set_parse_math(False)
    return legend


def named_curves(axes: Axes) -> list[Artist]:
    """Curves of these axes that were given a name, in the order in which they were drawn."""
    return [line for line in axes.lines if not re.match(r"_child\d+$", str(line.get_label()))]


def key_columns(names: Sequence[str]) -> int:
    """How many columns of a key with these names fit the width; rows are filled evenly."""
    fit = max(1, KEY_COLUMNS // (max(map(len, names)) + HANDLE_COLUMNS))
    rows = -(-len(names) // min(fit, len(names)))
    return -(-len(names) // rows)


def text_width(text: str, size: float) -> float:
    """Width of the widest line of a text set in `size` points, in points."""
    font = FontProperties(family=FONT)
    # A path's own extents leave out blanks at its ends, which no label here has.
    lines = (TextPath((0, 0), line, size=size, prop=font) for line in text.split("\n") if line)
    return max((float(path.get_extents().width) for path in lines), default=0.0)


def note(axes: Axes, x: float, y: float, text: str, **how: Any) -> None:
    """A few words in a figure, on paper of their own so that no line runs through them."""
    box = {"facecolor": PAPER, "edgecolor": "none", "pad": 1.5, "alpha": 0.85}
    given = {"fontsize": NOTE, "color": INK, "bbox": box, **WORDS, **how}
    axes.text(x, y, text, **given)
