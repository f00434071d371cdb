"""What each driver needs of its filter, and what textbook ladders give it."""

from __future__ import annotations

import numpy as np
import xarray as xr
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from acoustics.figures.style import (
    INK,
    QUIET,
    SERIES,
    frequency_axis,
    head,
    key,
    labels,
    level_axis,
    named_curves,
    new_figure,
    panel_title,
    shown_frequencies,
)
from acoustics.listening.levels import decibels
from acoustics.studies.crossover_start.dataset import ladder_name

AROUND = 2.0
"""octaves shown beyond the corners"""

SPAN = 45.0
"""dB shown"""

PANEL = 2.9
"""inches: of one driver"""

NEEDED = "what the driver needs"

DOTS = (0, (1.2, 1.6))
"""of ladders straight before the driver"""


def draw_start(axes: Axes, start: xr.Dataset) -> Axes:
    """Draw the filter that one driver needs over what textbook ladders give it.

    Args:
        axes: where to draw.
        start: of one driver, as `starting_points` labels it: ideal (frequency,) and transfer
            (slopes, treatment, frequency), V/V.

    Returns:
        The axes. Dotted: ladders straight before the driver; solid: with its compensation.
    """
    frequency = start.frequency.values
    ideal = _gain(start.ideal)
    axes.plot(frequency, ideal, color=INK, linewidth=3.2, alpha=0.85, label=NEEDED)
    shown = [ideal]
    for i, name in enumerate(start.slopes.values):
        of = start.transfer.sel(slopes=name)
        if not np.isfinite(of).all():
            continue
        colour = SERIES[i % len(SERIES)]
        alone, compensated = (_gain(of.sel(treatment=each)) for each in ("straight", "compensated"))
        axes.plot(frequency, alone, color=colour, linewidth=1.6, linestyle=DOTS)
        axes.plot(frequency, compensated, color=colour, linewidth=1.2, label=ladder_name(str(name)))
        shown += [alone, compensated]
    corners = [c for c in (float(start.low_corner), float(start.high_corner)) if np.isfinite(c)]
    for corner in corners:
        axes.axvline(corner, color=QUIET, linewidth=0.9, linestyle=":")
    labels(axes, "", "Gain in dB")
    low, high = shown_frequencies(frequency)
    low, high = max(low, corners[0] * 2**-AROUND), min(high, corners[-1] * 2**AROUND)
    frequency_axis(axes, low, high)
    inside = (frequency >= low) & (frequency <= high)
    level_axis(axes, max(float(each[inside].max()) for each in shown), SPAN)
    return axes


def start_sheet(starts: xr.Dataset) -> Figure:
    """The filter that every driver needs, and what textbook ladders give it."""
    rows = starts.sizes["driver"]
    figure, axes = new_figure(1.9 + PANEL * rows, rows=rows)
    for panel, name in zip(axes[:, 0], starts.driver.values, strict=True):
        one = starts.sel(driver=name)
        draw_start(panel, one)
        panel_title(panel, f"{name}, {one.kind.values}")
    labels(axes[-1, 0], "Frequency in Hz", "Gain in dB")
    curves = {str(c.get_label()): c for panel in axes[:, 0] for c in named_curves(panel)}
    key(axes[0, 0], curves=list(curves.values()))
    head(
        figure,
        "How far are textbook filters from what is needed?",
        str(starts.attrs["title"]),
        "solid: impedance compensated; dotted: straight to the driver; upright: corners",
    )
    return figure


def _gain(transfer: xr.DataArray) -> np.ndarray:
    answer: np.ndarray = decibels(abs(transfer) ** 2).values
    return answer
