"""What an enclosure gives for 2.83 V, cone and port apart."""

from __future__ import annotations

import xarray as xr
from matplotlib.axes import Axes

from acoustics.figures.style import (
    INK,
    QUIET,
    frequency_axis,
    labels,
    level_axis,
    series,
    shown_frequencies,
)

ALL, PRESENT = "all that moves", "present box"

SPAN = 40.0
"""dB shown"""


def draw_box_response(axes: Axes, box: xr.Dataset) -> Axes:
    """Draw the level of all that moves, and of every radiator by itself.

    Args:
        axes: where to draw.
        box: one enclosure of a box study, with its own radiators.

    Returns:
        The axes.
    """
    frequency = box.frequency.values
    if "present_response" in box:
        axes.plot(
            frequency, box.present_response, color=QUIET, linewidth=1.4, ls="--", label=PRESENT
        )
    # Where only one thing moves, it is all that does.
    several = box.radiator.values if box.sizes["radiator"] > 1 else []
    for row, name in enumerate(several):
        level = box.radiator_level.isel(radiator=row)
        axes.plot(
            frequency, level, linewidth=1.5, label=radiator_label(box, row, name), **series(row)
        )
    axes.plot(frequency, box.response, color=INK, linewidth=2.2, label=ALL)
    labels(axes, "", "Level in dB")
    frequency_axis(axes, *shown_frequencies(frequency))
    shown = [
        box[name] for name in ("response", "radiator_level", "present_response") if name in box
    ]
    level_axis(axes, max(float(levels.max()) for levels in shown), SPAN)
    return axes


def radiator_label(box: xr.Dataset, row: int, name: str) -> str:
    """A radiator as keys name it: "woofer (cone)"."""
    return f"{name} ({box.radiator_kind.values[row]})"
