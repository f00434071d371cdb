"""Group delay of an enclosure."""

from __future__ import annotations

import xarray as xr
from matplotlib.axes import Axes

from acoustics.figures.bass_axis import bass_axis
from acoustics.figures.style import INK, labels


def draw_box_delay(axes: Axes, box: xr.Dataset) -> Axes:
    """Draw the group delay of all that moves.

    Args:
        axes: where to draw.
        box: one enclosure of a box study.

    Returns:
        The axes.
    """
    frequency, delay = box.frequency.values, 1e3 * box.group_delay.values
    axes.plot(frequency, delay, color=INK, linewidth=1.9)
    labels(axes, "Frequency in Hz", "Group delay\nin ms")
    bass_axis(axes, frequency)
    axes.set_ylim(min(0.0, float(delay.min())), 1.1 * float(delay.max()))
    return axes
