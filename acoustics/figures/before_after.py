"""How one design before and after a change is drawn: thin and grey, then strong."""

from __future__ import annotations

from typing import Any

import numpy as np
import xarray as xr
from matplotlib.axes import Axes

from acoustics.figures.style import (
    DASHES,
    QUIET,
    SERIES,
    frequency_axis,
    labels,
    level_axis,
    panel_title,
    shown_frequencies,
)

BEFORE: dict[str, Any] = {"color": QUIET, "linewidth": 1.3, "linestyle": DASHES[1]}
AFTER: dict[str, Any] = {"color": SERIES[0], "linewidth": 2.4, "linestyle": DASHES[0]}

STATES = {"before": BEFORE, "after": AFTER}

Curves = dict[str, xr.DataArray]
"""state → curve over frequency; a state without one is left out"""


def draw_before_after(
    axes: Axes, curves: Curves, *, title: str, y: str, highest: float, span: float
) -> Axes:
    """Draw a level over frequency before and after.

    Args:
        axes: where to draw.
        curves: "before" and "after", dB, dims (frequency), each on its own frequencies.
        title: what the panel shows.
        y: label of the vertical axis, with its unit.
        highest: dB, the highest level that the axis is to hold, that of several panels perhaps.
        span: dB from the top of the level axis to its bottom.

    Returns:
        The axes.
    """
    for state, curve in curves.items():
        axes.plot(curve.frequency.values, curve.values, label=state, **STATES[state])
    labels(axes, "Frequency in Hz", y)
    both_frequencies(axes, curves)
    level_axis(axes, highest, span)
    panel_title(axes, title)
    return axes


def both_frequencies(axes: Axes, curves: Curves) -> None:
    """A frequency axis that holds all curves, with few labels, for half the width of a page."""
    ends = np.array([shown_frequencies(curve.frequency.values) for curve in curves.values()])
    low, high = float(ends[:, 0].min()), float(ends[:, 1].max())
    frequency_axis(axes, low, high)
    axes.set_xticks([mark for mark in (20, 100, 1000, 10_000) if low <= mark <= high])
