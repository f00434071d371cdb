"""Group delay of an enclosure."""

from __future__ import annotations

import xarray as xr
from matplotlib.axes import Axes

from acoustics.figures.style import INK, frequency_axis, labels, shown_frequencies

HEARD = 20.0
"""dB: what is further below the reference level does not set the axis"""


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
    frequency_axis(axes, *shown_frequencies(frequency))
    # Far below the reach, a null turns the phase at once; that is not shown whole.
    heard = delay[box.response.values > float(box.reference_level) - HEARD]
    axes.set_ylim(min(0.0, float(heard.min())), 1.1 * float(heard.max()))
    return axes
