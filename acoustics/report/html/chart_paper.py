"""A chart on paper: the same curves, drawn by the plotting library."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes

from acoustics.figures.shading import shade
from acoustics.figures.style import GRID, INK, QUIET, WORDS, short_hertz
from acoustics.report.html.chart_axes import (
    BOTTOM,
    HEIGHT,
    TOP,
    colour,
    dash,
    ends,
    frequency_lines,
    name_places,
    value_lines,
)
from acoustics.report.html.content import Chart
from acoustics.report.plain_text import clipped

NAME_LETTERS = 24

SMALL = 8.0
"""points"""


def draw_chart(axes: Axes, chart: Chart) -> Axes:
    """Draw curves, marks, limits and the curves' names beside them; returns the axes."""
    shade(axes, chart.shaded)
    for number, curve in enumerate(chart.curves):
        dashes = dash(chart, number)
        axes.plot(
            chart.frequency,
            np.where(np.isfinite(curve.values), curve.values, np.nan),
            color=colour(chart, number),
            linewidth=1.7 if curve.main else 1.1,
            linestyle=(0, tuple(d / 2 for d in dashes)) if dashes else "-",
        )
    axes.set_xscale("log")
    axes.set_xlim(*ends(chart))
    axes.set_ylim(chart.low, chart.high)
    _grid(axes, chart)
    guide: dict[str, Any] = {"color": QUIET, "linewidth": 0.7, "linestyle": (0, (3, 3))}
    words: dict[str, Any] = {"fontsize": SMALL, "color": QUIET, **WORDS}
    for frequency, told in chart.marks:
        axes.axvline(frequency, **guide)
        axes.text(frequency, chart.low, f" {told}", va="bottom", **words)
    for value, told in chart.limits:
        axes.axhline(value, **guide)
        axes.text(ends(chart)[0], value, f" {told}", va="bottom", **words)
    for number, (end, place) in enumerate(name_places(chart)):
        if not np.isnan(end):
            _name(axes, chart, number, end, place)
    return axes


def _grid(axes: Axes, chart: Chart) -> None:
    """Lines and their labels. Ticks of the plotting library would take as long as all the rest."""
    axes.set_axis_off()
    lines, values = frequency_lines(chart), value_lines(chart)
    for labelled, width in ((True, 0.6), (False, 0.25)):
        at = [frequency for frequency, told in lines if told is labelled]
        axes.vlines(at, chart.low, chart.high, color=GRID, linewidth=width, zorder=0)
    axes.hlines(values, *ends(chart), color=GRID, linewidth=0.6, zorder=0)
    words: dict[str, Any] = {"fontsize": SMALL, "color": INK, **WORDS}
    across, up = axes.get_xaxis_transform(), axes.get_yaxis_transform()
    for frequency, told in lines:
        if told:
            label = short_hertz(frequency)
            axes.text(frequency, -0.03, label, ha="center", va="top", transform=across, **words)
    for value in values:
        label = f"{value:g}".replace("-", "−")
        axes.text(-0.012, value, label, ha="right", va="center", transform=up, **words)
    place: dict[str, Any] = {"ha": "center", "transform": axes.transAxes}
    axes.text(0.5, -0.1, "Frequency in Hz", va="top", **place, **words)
    axes.text(-0.075, 0.5, chart.axis, va="center", rotation=90, **place, **words)


def _name(axes: Axes, chart: Chart, number: int, end: float, place: float) -> None:
    """The name of a curve on its right, with a thread to where the curve ends."""
    share = [1.0 - (y - TOP) / (HEIGHT - TOP - BOTTOM) for y in (end, place)]
    how: dict[str, Any] = {"transform": axes.transAxes, "clip_on": False}
    axes.plot([1.0, 1.02], share, color=colour(chart, number), linewidth=0.6, **how)
    axes.text(
        1.03,
        share[1],
        clipped(chart.curves[number].name, NAME_LETTERS),
        va="center",
        fontsize=SMALL,
        color=INK,
        transform=axes.transAxes,
        **WORDS,
    )
