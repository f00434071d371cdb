"""A chart on paper: the same curves, drawn by the plotting library."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import FixedLocator

from acoustics.figures.shading import shade
from acoustics.figures.style import FONT, INK, QUIET, WORDS, frequency_axis, labels
from acoustics.report.html.chart_axes import (
    BOTTOM,
    HEIGHT,
    TOP,
    colour,
    dash,
    ends,
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
    labels(axes, "Frequency in Hz", chart.axis)
    frequency_axis(axes, *ends(chart))
    axes.set_ylim(chart.low, chart.high)
    axes.yaxis.set_major_locator(FixedLocator(value_lines(chart)))
    guide = {"color": QUIET, "linewidth": 0.7, "linestyle": (0, (3, 3))}
    words = {"fontsize": SMALL, "color": QUIET, **WORDS}
    for frequency, told in chart.marks:
        axes.axvline(frequency, **guide)
        axes.text(frequency, chart.low, f" {told}", va="bottom", **words)
    for value, told in chart.limits:
        axes.axhline(value, **guide)
        axes.text(ends(chart)[0], value, f" {told}", va="bottom", **words)
    axes.tick_params(which="both", labelsize=SMALL, labelfontfamily=FONT)
    for label in (axes.xaxis.label, axes.yaxis.label):
        label.set_fontsize(SMALL)
    for number, (end, place) in enumerate(name_places(chart)):
        if not np.isnan(end):
            _name(axes, chart, number, end, place)
    return axes


def _name(axes: Axes, chart: Chart, number: int, end: float, place: float) -> None:
    """The name of a curve on its right, with a thread to where the curve ends."""
    share = [1.0 - (y - TOP) / (HEIGHT - TOP - BOTTOM) for y in (end, place)]
    how = {"transform": axes.transAxes, "clip_on": False}
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
