"""What the floor does to the level at the seat."""

from __future__ import annotations

import xarray as xr
from matplotlib.axes import Axes

from acoustics.figures.style import (
    QUIET,
    SERIES,
    frequency_axis,
    labels,
    level_axis,
    panel_title,
    shown_frequencies,
)
from acoustics.studies.wording import amount, hertz

HIGHEST = 5000.0
"""Hz: above this the floor's dips lie closer together than the ear or the figure tells apart"""

SPAN = 30.0
"""dB shown"""


def draw_floor_bounce(axes: Axes, levels: xr.DataArray, dip: xr.Dataset) -> Axes:
    """Draw the level at one ear height with and without the floor and mark the first dip.

    Args:
        axes: where to draw.
        levels: dB re 20 µPa, dims (surroundings, frequency), with the coordinate ear_height (m).
        dip: dip_frequency (Hz), dip_depth (dB) and dip_driver at that ear height, NaN for none.

    Returns:
        The axes.
    """
    shown = levels.sel(frequency=slice(None, HIGHEST))
    frequency = shown.frequency.values
    free, floor = (shown.sel(surroundings=where).values for where in ("free space", "with floor"))
    axes.plot(frequency, free, color=QUIET, linewidth=1.6, linestyle=(0, (6, 2)), label="no floor")
    axes.plot(frequency, floor, color=SERIES[0], linewidth=2.0, label="with the floor")
    labels(axes, "Frequency in Hz", "Level in dB\nre 20 µPa")
    frequency_axis(axes, *shown_frequencies(frequency))
    level_axis(axes, float(shown.max()), SPAN)
    ear = f"ear at {float(levels.ear_height):.2f} m"
    where = float(dip.dip_frequency)
    if where == where:  # not NaN: there is a dip
        axes.axvline(where, color=SERIES[1], linewidth=1.2, linestyle=(0, (2, 2)))
        depth = amount(float(dip.dip_depth), "dB")
        ear += f": first dip at {hertz(where)}, {depth} deep, {dip.dip_driver.values}"
    else:
        ear += ": no dip of 1 dB or more"
    panel_title(axes, ear)
    return axes
