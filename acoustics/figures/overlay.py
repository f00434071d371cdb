"""The same curve of several designs, one over the other."""

from __future__ import annotations

from collections.abc import Mapping

import xarray as xr
from matplotlib.axes import Axes

from acoustics.figures.style import (
    frequency_axis,
    labels,
    level_axis,
    panel_title,
    series,
    shown_frequencies,
)


def draw_overlay(
    axes: Axes,
    curves: Mapping[str, xr.DataArray],
    *,
    title: str,
    y: str,
    span: float,
    first: int = 0,
) -> Axes:
    """Draw one curve per design over frequency.

    Args:
        axes: where to draw.
        curves: design → dB, dims (frequency), each on its own frequencies.
        title: what the panel shows.
        y: label of the vertical axis, with its unit.
        span: dB from the top of the level axis to its bottom.
        first: place of the first design among all, where only the later ones are drawn.

    Returns:
        The axes. Each design keeps its colour and dashes from figure to figure.
    """
    for i, (design, curve) in enumerate(curves.items(), start=first):
        axes.plot(curve.frequency.values, curve.values, linewidth=1.9, label=design, **series(i))
    labels(axes, "Frequency in Hz", y)
    ends = [shown_frequencies(curve.frequency.values) for curve in curves.values()]
    frequency_axis(axes, min(low for low, _ in ends), max(high for _, high in ends))
    level_axis(axes, max(float(curve.max()) for curve in curves.values()), span)
    panel_title(axes, title)
    return axes
