"""What curves of drawn figures tell: the value of each at one place, from the points drawn."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from acoustics.figures.style import named_curves
from acoustics.report.html.reading.maps import FREQUENCY, HEIGHT
from acoustics.report.html.reading.panel import Panel, Reading, Trace, panel_of


def over_frequency(figure: Figure, units: Sequence[str]) -> Reading:
    """Of a figure whose panels have curves over frequency, with the unit of each panel's values.

    Panels without a curve that has a name are left out.
    """
    found = (_panel(axes, "x", unit) for axes, unit in zip(figure.axes, units, strict=False))
    return tuple(panel for panel in found if panel.traces)


def over_height(figure: Figure) -> Reading:
    """Of a figure whose panels have levels in dB across, over heights."""
    found = (_panel(axes, "y", "dB") for axes in figure.axes)
    return tuple(panel for panel in found if panel.traces)


def _panel(axes: Axes, along: str, unit: str) -> Panel:
    name = " ".join(axes.get_title(loc="left").split())
    lines = [line for line in named_curves(axes) if isinstance(line, Line2D)]
    traces = tuple(trace for line in lines if (trace := _trace(axes, line, along)).at.size)
    x, y = (FREQUENCY, None) if along == "x" else (None, HEIGHT)
    return panel_of(axes, name, along=along, value_unit=unit, traces=traces, x=x, y=y)


def _trace(axes: Axes, line: Line2D, along: str) -> Trace:
    """The part of a curve that is seen."""
    x, y = (np.asarray(each, dtype=float) for each in line.get_data())
    at, values, ends = (x, y, axes.get_xlim()) if along == "x" else (y, x, axes.get_ylim())
    seen = (at >= ends[0]) & (at <= ends[1])
    return Trace(" ".join(str(line.get_label()).split()), at[seen], values[seen])
