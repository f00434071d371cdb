"""What the room's first reflections do at the seat, and what each dip is made by."""

from __future__ import annotations

import numpy as np
import xarray as xr
from matplotlib.axes import Axes

from acoustics.figures.style import (
    INK,
    NOTE,
    QUIET,
    SERIES,
    WORDS,
    frequency_axis,
    labels,
    level_axis,
    panel_title,
    shown_frequencies,
)
from acoustics.studies.wording import hertz

HIGHEST = 5000.0
"""Hz: above this the dips lie closer together than the ear or the figure tells apart"""

LEAST = 2
"""frequencies that make a curve"""

SPAN = 40.0
"""dB shown"""

MOST_DIPS = 4
"""so many of the deepest dips bear a label"""

LABELLED = 2000.0
"""Hz: above this dips bear none"""

APART = 2.0
"""frequency ratio between two labels that do not touch"""


def draw_at_the_seat(axes: Axes, levels: xr.DataArray, dips: xr.Dataset) -> Axes:
    """Draw the level at one ear height with and without reflections, its dips labelled.

    Args:
        axes: where to draw.
        levels: dB re 20 µPa, dims (surroundings, frequency), with the coordinate ear_height (m).
        dips: dip_frequency (Hz), dip_depth (dB) and dip_cause over `dip`, of `listening.dips` at
            that ear height.

    Returns:
        The axes.
    """
    shown = up_to_highest(levels)
    frequency = shown.frequency.values
    free = shown.sel(surroundings="free space").values
    room = shown.sel(surroundings="with reflections").values
    axes.plot(frequency, free, color=QUIET, linewidth=1.6, linestyle=(0, (6, 2)), label=FREE)
    axes.plot(frequency, room, color=SERIES[0], linewidth=2.0, label=ROOM)
    labels(axes, "Frequency in Hz", "Level in dB\nre 20 µPa")
    frequency_axis(axes, *shown_frequencies(frequency))
    level_axis(axes, float(shown.max()), SPAN)
    bottom = axes.get_ylim()[0]
    for i in labelled_dips(dips):
        at = float(dips.dip_frequency[i])
        level = float(np.interp(np.log(at), np.log(frequency), room))
        axes.annotate(
            f"{dips.dip_cause.values[i]}\n{hertz(at)}",
            (at, max(level - 0.5, bottom)),
            xytext=(at, bottom + 0.8),
            ha="center",
            va="bottom",
            fontsize=NOTE,
            color=INK,
            linespacing=1.05,
            arrowprops={"arrowstyle": "-", "color": SERIES[1], "linewidth": 1.4},
            bbox={"facecolor": "#ffffffd9", "edgecolor": "none", "pad": 0.6},
            **WORDS,
        )
    panel_title(axes, f"ears at {float(levels.ear_height):.2f} m")
    return axes


FREE, ROOM = "without reflections", "with all reflections"


def labelled_dips(dips: xr.Dataset) -> list[int]:
    """The deepest dips whose labels have room beside each other."""
    frequency = dips.dip_frequency.values
    chosen: list[int] = []
    for i in np.argsort(-np.nan_to_num(dips.dip_depth.values)):
        if not (frequency[i] <= LABELLED) or len(chosen) == MOST_DIPS:
            continue
        if all(abs(np.log(frequency[i] / frequency[j])) > np.log(APART) for j in chosen):
            chosen.append(int(i))
    return chosen


def up_to_highest(levels: xr.DataArray) -> xr.DataArray:
    """The part of a curve that is drawn; see `can_be_drawn`."""
    return levels.sel(frequency=slice(None, HIGHEST))


def can_be_drawn(frequency: np.ndarray) -> bool:
    """Whether enough of these frequencies lie low enough for a curve."""
    return int(np.count_nonzero(frequency <= HIGHEST)) >= LEAST
