"""The level over height at a crossover, several designs side by side in one picture."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import xarray as xr
from matplotlib.axes import Axes

from acoustics.figures.ear_height import SPAN, mark_ear_heights
from acoustics.figures.style import labels, level_top, panel_title, series


def draw_height_overlay(
    axes: Axes, curves: Mapping[str, xr.DataArray], ears: np.ndarray, *, title: str
) -> Axes:
    """Draw one curve per design, height running up the vertical axis.

    Args:
        axes: where to draw.
        curves: design → dB re 20 µPa, dims (height), m above the floor.
        ears: ear heights to mark, m.
        title: what the panel shows.

    Returns:
        The axes.
    """
    for i, (design, curve) in enumerate(curves.items()):
        axes.plot(curve.values, curve.height.values, linewidth=1.9, label=design, **series(i))
    labels(axes, "Level in dB re 20 µPa", "Height above the floor in m")
    top = level_top(max(float(curve.max()) for curve in curves.values()))
    axes.set_xlim(top - SPAN, top)
    axes.set_ylim(
        min(float(curve.height.min()) for curve in curves.values()),
        max(float(curve.height.max()) for curve in curves.values()),
    )
    mark_ear_heights(axes, ears)
    panel_title(axes, title)
    return axes
