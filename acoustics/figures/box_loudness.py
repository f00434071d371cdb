"""How loud an enclosure plays, and which limit stops it where."""

from __future__ import annotations

import numpy as np
import xarray as xr
from matplotlib.axes import Axes

from acoustics.figures.style import (
    QUIET,
    frequency_axis,
    labels,
    level_axis,
    series,
    shown_frequencies,
)

LIMIT_KEYS = {
    "displacement": ("cone's displacement", 0),
    "power": ("driver's power", 2),
    "port speed": ("air speed in the port", 1),
    "passive radiator": ("passive radiator's displacement", 1),
    "amplifier": ("amplifier", 3),
}
"""What a limit is called, and which curve's look it has: the cone's, the port's, or its own."""

PRESENT = "present_highest_level"

SPAN = 40.0
"""dB shown"""


def draw_box_loudness(axes: Axes, box: xr.Dataset) -> Axes:
    """Draw the highest level by each limit, thick where it is the one that binds.

    Args:
        axes: where to draw.
        box: one enclosure of a box study, some limit of which is stated.

    Returns:
        The axes.
    """
    frequency, binding = box.frequency.values, box.binding.values
    for number, limit in enumerate(box.limit.values):
        by_itself = box.level_limit.sel(limit=limit).values
        if not np.isfinite(by_itself).any():
            continue
        name, look = LIMIT_KEYS[str(limit)]
        how = series(look)
        known = np.where(np.isfinite(by_itself), by_itself, np.nan)
        binds = binding == number
        label = None if binds.any() else name
        axes.plot(frequency, known, linewidth=0.9, label=label, **how)
        if not binds.any():
            continue
        # A stretch is drawn on to where the next one begins.
        on = binds | np.concatenate(([False], binds[:-1]))
        axes.plot(
            frequency,
            np.where(on, box.highest_level.values, np.nan),
            linewidth=3.2,
            color=how["color"],
            label=name,
        )
    if PRESENT in box:
        axes.plot(frequency, box[PRESENT], color=QUIET, linewidth=1.4, ls="--")
    labels(axes, "Frequency in Hz", "Level in dB")
    frequency_axis(axes, *shown_frequencies(frequency))
    shown = [box[name] for name in ("highest_level", PRESENT) if name in box]
    level_axis(axes, max(float(levels.max()) for levels in shown), SPAN)
    return axes
