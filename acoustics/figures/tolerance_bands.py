"""The design's curve among the builds: a band that holds most of them, and how wide it is."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import xarray as xr
from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator, MultipleLocator

from acoustics.figures.style import (
    INK,
    SERIES,
    frequency_axis,
    labels,
    panel_title,
    series,
    shown_frequencies,
)

SHADE = 0.3
"""opacity of a band"""

LEAST_HALF = 1.0
"""dB: an axis of half widths reaches at least so far"""

DESIGN = "the design"


def band_name(found: xr.Dataset) -> str:
    """What a band is, for the key."""
    return f"{100 * found.attrs['band']:g} of 100 builds"


def draw_band(
    axes: Axes, band: xr.DataArray, design: xr.DataArray, *, title: str, y: str, name: str
) -> Axes:
    """Draw a curve of the design and the band of its builds over frequency.

    Args:
        axes: where to draw; its vertical axis is left to the caller.
        band: dims (percentile, frequency); the first and the last percentile bound it.
        design: dims (frequency,).
        title: what the panel shows.
        y: label of the vertical axis, with its unit.
        name: of the band, in the key.
    """
    frequency = design.frequency.values
    low, high = (band.isel(percentile=end).values for end in (0, -1))
    axes.fill_between(frequency, low, high, color=SERIES[0], alpha=SHADE, linewidth=0.0, label=name)
    for edge in (low, high):
        axes.plot(frequency, edge, color=SERIES[0], linewidth=0.6)
    axes.plot(frequency, design.values, color=INK, linewidth=1.3, label=DESIGN)
    labels(axes, "Frequency in Hz", y)
    frequency_axis(axes, *shown_frequencies(frequency))
    panel_title(axes, title)
    return axes


def draw_half_widths(axes: Axes, halves: Mapping[str, xr.DataArray], *, title: str) -> Axes:
    """Draw half the width of several bands over frequency.

    Args:
        axes: where to draw.
        halves: name → dB, dims (frequency,).
        title: what the panel shows.
    """
    for i, (name, half) in enumerate(halves.items()):
        axes.plot(half.frequency.values, half.values, linewidth=1.7, label=name, **series(i))
    labels(axes, "Frequency in Hz", "± dB")
    frequency_axis(axes, *shown_frequencies(next(iter(halves.values())).frequency.values))
    most = max(float(np.nanmax(half.values)) for half in halves.values())
    axes.set_ylim(0, max(LEAST_HALF, 1.1 * most))
    axes.yaxis.set_major_locator(MaxNLocator(4))
    panel_title(axes, title)
    return axes


def draw_height_band(
    axes: Axes, band: xr.DataArray, design: xr.DataArray, *, title: str, name: str
) -> Axes:
    """Draw the level of design and builds against height, which runs up the vertical axis.

    Args:
        axes: where to draw; its level axis is left to the caller.
        band: dB, dims (percentile, height).
        design: dB, dims (height,).
        title: what the panel shows.
        name: of the band, in the key.
    """
    height = design.height.values
    low, high = (band.isel(percentile=end).values for end in (0, -1))
    axes.fill_betweenx(height, low, high, color=SERIES[0], alpha=SHADE, linewidth=0.0, label=name)
    for edge in (low, high):
        axes.plot(edge, height, color=SERIES[0], linewidth=0.6)
    axes.plot(design.values, height, color=INK, linewidth=1.3, label=DESIGN)
    labels(axes, "Level in dB re 20 µPa", "Height above the floor in m")
    axes.set_ylim(height[0], height[-1])
    axes.xaxis.set_major_locator(MultipleLocator(5))
    panel_title(axes, title)
    return axes
