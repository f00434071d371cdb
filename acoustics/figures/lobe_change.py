"""The level up and down around a crossover, before and after it was changed."""

from __future__ import annotations

import textwrap
from typing import Any

import numpy as np
import xarray as xr
from matplotlib.axes import Axes
from matplotlib.ticker import MultipleLocator

from acoustics.figures.before_after import STATES
from acoustics.figures.ear_height import COLUMNS, SPAN
from acoustics.figures.style import INK, QUIET, labels, level_top, note, panel_title
from acoustics.studies.wording import hertz

OFF = "half an octave off"

REACH = 60.0
"""degrees shown up and down"""

LIGHT: dict[str, Any] = {"alpha": 0.45, "linewidth": 1.1}
"""half an octave to either side"""


def draw_lobe_change(axes: Axes, before: xr.Dataset | None, after: xr.Dataset) -> Axes:
    """Draw level against vertical angle at a crossover, and lighter half an octave off.

    Args:
        axes: where to draw; the angle runs up the vertical axis.
        before: one crossover of `listening.lobe_levels`: arc_level (offset, lobe_angle), dB re
            20 µPa, crossover_frequency (Hz), seat_angle (ear_height), degrees; None where the
            design before had no such crossover.
        after: the same after the change.

    Returns:
        The axes.
    """
    states = {"before": before, "after": after}
    shown = {state: one for state, one in states.items() if one is not None}
    for state, one in shown.items():
        for offset in sorted(one.offset.values, key=abs):
            levels = one.arc_level.sel(offset=offset).values
            if np.isnan(levels).all():
                continue
            how = STATES[state] | (LIGHT if offset else {})
            # One entry in the key for all that are light.
            light = OFF if state == "after" and offset < 0 else None
            axes.plot(levels, one.lobe_angle.values, label=light if offset else state, **how)
    labels(axes, "Level in dB re 20 µPa", "Angle upward in degrees")
    top = level_top(max(float(one.arc_level.max()) for one in shown.values()))
    axes.set_xlim(top - SPAN, top)
    axes.set_ylim(-REACH, REACH)
    axes.yaxis.set_major_locator(MultipleLocator(20))
    _mark_ears(axes, after.seat_angle.values)
    name = textwrap.fill(str(after.crossover.values), COLUMNS)
    moved = " → ".join(
        dict.fromkeys(hertz(float(one.crossover_frequency)) for one in shown.values())
    )
    panel_title(axes, f"{name}\n{moved}")
    return axes


def _mark_ears(axes: Axes, angles: np.ndarray) -> None:
    """A line in the direction of each pair of ears at the main seat, and one word for all."""
    left = axes.get_xlim()[0]
    for angle in angles:
        axes.axhline(angle, color=INK, linewidth=1.0, linestyle=(0, (1, 2)), zorder=1)
    note(axes, left + 0.4, float(angles.min()) - 2.0, "ears", va="top", color=QUIET)
