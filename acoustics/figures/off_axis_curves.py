"""How the response changes as one moves off the axis, to one side."""

from __future__ import annotations

import numpy as np
import xarray as xr
from matplotlib.axes import Axes

from acoustics.figures.style import (
    ORDERED,
    frequency_axis,
    key,
    labels,
    level_axis,
    panel_title,
    shown_frequencies,
)

ANGLES = (0.0, 15.0, 30.0, 45.0, 60.0, 75.0, 90.0)
"""degrees from the axis"""

SIDES = {"horizontal": {1: "to the right", -1: "to the left"}, "vertical": {1: "up", -1: "down"}}


def draw_off_axis_curves(
    axes: Axes, levels: xr.DataArray, *, side: int, with_key: bool = True
) -> Axes:
    """Draw the family of responses from the axis to 90 degrees on one side.

    Args:
        axes: where to draw.
        levels: dB re 20 µPa on one arc, dims (angle, frequency), with the coordinate `plane`.
        side: +1 for right or up, −1 for left or down.
        with_key: whether to draw the key to the angles.

    Returns:
        The axes. Angles that were not predicted are replaced by their nearest neighbours.
    """
    angles = shown_angles(levels.angle.values, side)
    for angle in angles:
        axes.plot(
            levels.frequency.values,
            levels.sel(angle=angle).transpose("frequency").values,
            color=ORDERED(abs(angle) / 90.0),
            linewidth=2.4 if angle == 0 else 1.5,
            label=f"{abs(angle):g}°",
        )
    labels(axes, "Frequency in Hz", "Level in dB re 20 µPa")
    frequency_axis(axes, *shown_frequencies(levels.frequency.values))
    level_axis(axes, float(levels.sel(angle=angles).max()))
    panel_title(axes, SIDES[str(levels.plane.values)][side])
    if with_key:
        key(axes, beside=True, title="off axis")
    return axes


def shown_angles(predicted: np.ndarray, side: int) -> list[float]:
    """The predicted angles nearest to `ANGLES` on one side, each once."""
    nearest = (predicted[np.argmin(np.abs(predicted - side * angle))] for angle in ANGLES)
    return list(dict.fromkeys(float(angle) for angle in nearest))
