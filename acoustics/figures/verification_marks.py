"""What was found in an impedance, marked where it is: peaks, tuning, narrow wrinkles."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import xarray as xr
from matplotlib.axes import Axes

from acoustics.figures.style import INK, NOTE, PAPER, QUIET, WORDS, text_width

NAMES = {"lower_peak": "lower peak", "tuning": "tuning", "upper_peak": "upper peak"}
"""what is marked of an enclosure, and what it is called"""

ROWS = 3
"""lines of names above each other before they meet"""

STEP = 0.095
"""height of such a line, of the panel's"""


def impedance_marks(found: xr.Dataset, reading: str) -> list[tuple[float, str]]:
    """Frequency (Hz) and name of all that was found in an impedance, from the lowest up."""
    marks = []
    for n in range(found.sizes["tuned"]):
        one = found.isel(tuned=n)
        if str(one.tuning_reading.values) != reading:
            continue
        for figure, name in NAMES.items():
            at = float(one.tuning_measured.sel(tuning_figure=figure))
            if np.isfinite(at):
                marks.append((at, name))
    wrinkles = found.wrinkle_frequency.values[found.wrinkle_reading.values == reading]
    return sorted([*marks, *((float(at), "wrinkle") for at in wrinkles)])


def draw_marks(axes: Axes, marks: Sequence[tuple[float, str]], width: float) -> Axes:
    """Draw a thin line at every mark with its name above the panel's curves.

    Args:
        axes: with its frequency axis set.
        marks: frequency (Hz) and name, ascending.
        width: of the panel, points.
    """
    low, high = axes.get_xlim()
    ends = [-np.inf] * ROWS
    for at, name in marks:
        axes.axvline(at, color=QUIET, linewidth=0.8, linestyle=(0, (2, 2)), zorder=1)
        place = width * np.log(at / low) / np.log(high / low)
        row = next((n for n in range(ROWS) if ends[n] < place), int(np.argmin(ends)))
        ends[row] = place + text_width(name, NOTE) + 8.0
        axes.annotate(
            name, (at, 0.985 - STEP * row), xycoords=("data", "axes fraction"), xytext=(3, 0),
            textcoords="offset points", ha="left", va="top", fontsize=NOTE, color=INK,
            bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.8, "alpha": 0.85}, **WORDS,
        )  # fmt: skip
    return axes
