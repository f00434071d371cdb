"""What the standing waves of the air in a cabinet do at the back of a driver."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.axes import Axes

from acoustics.figures.style import (
    INK,
    QUIET,
    SERIES,
    WORDS,
    frequency_axis,
    labels,
    level_top,
)
from acoustics.structure.air_bands import Band

BARE, LINED = "bare walls", "with lining and fill as planned"

CORNER = "corner of the crossover"

WAVE = "standing wave of the bare box"

SPAN = 70.0
"""dB shown at most"""

TICK = 0.06
"""part of the height that the mark of a standing wave takes"""


def draw_standing_waves(
    axes: Axes,
    frequency: np.ndarray,
    bare: np.ndarray,
    lined: np.ndarray | None,
    waves: np.ndarray,
    band: Band | None,
) -> Axes:
    """Draw the pressure that a driver feels over what the air as a spring alone would give.

    Args:
        axes: where to draw.
        frequency: Hz, shape (frequency,).
        bare: level without lining, dB, likewise.
        lined: with what is planned; None: nothing is.
        waves: frequencies of the standing waves, Hz.
        band: corners of the crossover between which the driver plays, Hz, if they are known.

    Returns:
        The axes.
    """
    axes.plot(frequency, bare, color=QUIET, linewidth=0.9, label=BARE)
    if lined is not None:
        axes.plot(frequency, lined, color=SERIES[0], linewidth=2.0, label=LINED)
    low, high = float(frequency[0]), float(frequency[-1])
    for number, wave in enumerate(waves):
        axes.axvline(
            float(wave),
            ymin=1 - TICK,
            color=SERIES[3],
            linewidth=1.4,
            label=WAVE if number == 0 else None,
        )
    corners = [c for c in band or () if low < c < high and math.isfinite(c)]
    for number, corner in enumerate(corners):
        axes.axvline(
            corner,
            color=SERIES[1],
            linewidth=1.6,
            linestyle=":",
            label=CORNER if number == 0 else None,
        )
    axes.axhline(0.0, color=INK, linewidth=0.8)
    labels(axes, "", "dB re spring")
    frequency_axis(axes, low, high)
    top = level_top(float(np.nanmax(bare)))
    bottom = max(top - SPAN, 10.0 * math.floor(float(np.nanmin(bare)) / 10.0))
    axes.set_ylim(bottom, top + TICK * (top - bottom))
    return axes


def name_waves(axes: Axes, waves: np.ndarray, names: tuple[str, ...]) -> None:
    """Write the names of waves above their marks, as long as they keep clear of each other."""
    low, high = axes.get_xlim()
    last = 0.0
    for wave, name in zip(waves, names, strict=True):
        # Waves may be followed farther up than they are shown.
        if wave > high:
            return
        if last == 0.0 or math.log(wave / last) > APART * math.log(high / low):
            axes.annotate(
                name,
                (float(wave), 1.0),
                (0, 2),
                xycoords=axes.get_xaxis_transform(),
                textcoords="offset points",
                ha="center",
                va="bottom",
                fontsize=8,
                color=SERIES[3],
                **WORDS,
            )
            last = float(wave)


APART = 0.075
"""of the width: how far apart names do not touch"""
