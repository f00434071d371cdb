"""What happens around a crossover as the listener sits lower or stands up."""

from __future__ import annotations

import textwrap

import numpy as np
import xarray as xr
from matplotlib.axes import Axes

from acoustics.figures.style import (
    INK,
    PAPER,
    QUIET,
    labels,
    level_top,
    note,
    panel_title,
    series,
)
from acoustics.studies.wording import hertz

SPAN = 30.0
"""dB shown"""

NAMES = {-0.5: "half an octave below", 0.0: "at the crossover", 0.5: "half an octave above"}

COLUMNS = 28
"""letters of the title that fit a panel of half the width"""

MERGED = 0.045
"""part of the axis: ear heights closer than this share one label"""


def draw_ear_height(axes: Axes, around: xr.Dataset) -> Axes:
    """Draw level against height at half an octave below, at and above one crossover.

    Args:
        axes: where to draw; height runs up the vertical axis.
        around: one crossover of `listening.lobing`: height_level (offset, height), dB re 20 µPa,
            crossover_frequency (Hz), the coordinates crossover and ear_height (m).

    Returns:
        The axes.
    """
    crossover = float(around.crossover_frequency)
    height = around.height.values
    for i, offset in enumerate(sorted(around.offset.values, key=abs)):
        levels = around.height_level.sel(offset=offset).values
        if np.isnan(levels).all():
            continue
        axes.plot(
            levels,
            height,
            linewidth=2.2 if offset == 0 else 1.6,
            label=NAMES[float(offset)],
            **series(i),
        )
    labels(axes, "Level in dB re 20 µPa", "Height above the floor in m")
    top = level_top(float(around.height_level.max()))
    axes.set_xlim(top - SPAN, top)
    axes.set_ylim(height[0], height[-1])
    mark_ear_heights(axes, around.ear_height.values)
    name = textwrap.fill(str(around.crossover.values), COLUMNS)
    panel_title(axes, f"{name}\n{hertz(crossover)}")
    return axes


def mark_ear_heights(axes: Axes, ears: np.ndarray) -> None:
    """A line at each ear height, labelled at the left; neighbours share a label."""
    low, high = axes.get_ylim()
    groups: list[list[float]] = []
    for ear in np.sort(ears):
        axes.axhline(ear, color=INK, linewidth=1.0, linestyle=(0, (1, 2)), zorder=1)
        if groups and ear - groups[-1][-1] < MERGED * (high - low):
            groups[-1].append(float(ear))
        else:
            groups.append([float(ear)])
    left = axes.get_xlim()[0]
    for group in groups:
        names = ", ".join(f"{ear:.2f}" for ear in group)
        note(
            axes,
            left + 0.4,
            float(np.mean(group)),
            f"ear {names} m",
            va="center",
            color=QUIET,
            bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.5, "alpha": 0.85},
        )
