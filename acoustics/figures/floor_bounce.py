"""What the floor does to the level at the seat."""

from __future__ import annotations

import textwrap

import numpy as np
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
from acoustics.studies.floor import deeper
from acoustics.studies.wording import amount, hertz

HIGHEST = 5000.0
"""Hz: above this the floor's dips lie closer together than the ear or the figure tells apart"""

COLUMNS = 60
"""letters of the panel's title that fit the width"""

LEAST = 2
"""frequencies that make a curve"""

SPAN = 30.0
"""dB shown"""


def draw_floor_bounce(axes: Axes, levels: xr.DataArray, dip: xr.Dataset) -> Axes:
    """Draw the level at one ear height with and without the floor and mark its dips.

    Args:
        axes: where to draw.
        levels: dB re 20 µPa, dims (surroundings, frequency), with the coordinate ear_height (m).
        dip: dip_frequency (Hz), dip_depth (dB) and dip_driver at that ear height, NaN for none;
            likewise the deepest dip's, marked too where it is deeper (see `studies.floor`).

    Returns:
        The axes.
    """
    shown = up_to_highest(levels)
    frequency = shown.frequency.values
    free, floor = (shown.sel(surroundings=where).values for where in ("free space", "with floor"))
    axes.plot(frequency, free, color=QUIET, linewidth=1.6, linestyle=(0, (6, 2)), label="no floor")
    axes.plot(frequency, floor, color=SERIES[0], linewidth=2.0, label="with the floor")
    labels(axes, "Frequency in Hz", "Level in dB\nre 20 µPa")
    frequency_axis(axes, *shown_frequencies(frequency))
    level_axis(axes, float(shown.max()), SPAN)
    ear = f"ear at {float(levels.ear_height):.2f} m"
    if why := str(dip.dip_note.values):
        ear += f": {why}"
    elif np.isnan(dip.dip_frequency):
        ear += ": no dip of 1 dB or more"
    else:
        ear += f": first dip at {_marked(axes, dip, 'dip')}"
    if bool(deeper(dip)):
        ear += f"\ndeepest at {_marked(axes, dip, 'deepest_dip')}"
    panel_title(axes, "\n".join(textwrap.fill(line, COLUMNS) for line in ear.split("\n")))
    return axes


def up_to_highest(levels: xr.DataArray) -> xr.DataArray:
    """The part of a curve that is drawn; see `can_be_drawn`."""
    return levels.sel(frequency=slice(None, HIGHEST))


def can_be_drawn(frequency: np.ndarray) -> bool:
    """Whether enough of these frequencies lie low enough for a curve."""
    return int(np.count_nonzero(frequency <= HIGHEST)) >= LEAST


def _marked(axes: Axes, dip: xr.Dataset, name: str) -> str:
    """Mark a dip by a line; returns where it is, how deep and whose."""
    frequency, depth = float(dip[f"{name}_frequency"]), float(dip[f"{name}_depth"])
    axes.axvline(frequency, color=SERIES[1], linewidth=1.2, linestyle=(0, (2, 2)))
    return f"{hertz(frequency)}, {amount(depth, 'dB')} deep, {dip[f'{name}_driver'].values}"
