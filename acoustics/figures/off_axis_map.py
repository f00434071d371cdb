"""Where the sound goes: level over angle and frequency, relative to the axis."""

from __future__ import annotations

from typing import Any

import numpy as np
import xarray as xr
from matplotlib.axes import Axes
from matplotlib.colors import BoundaryNorm
from matplotlib.ticker import FixedLocator

from acoustics.figures.style import (
    FONT,
    INK,
    LABEL,
    LOUDNESS,
    PAPER,
    QUIET,
    TICK,
    WORDS,
    frequency_axis,
    labels,
    shown_frequencies,
)

STEPS = np.arange(-36.0, 6.1, 3.0)
"""dB relative to the axis, where one colour ends and the next begins"""

BEAM = -6.0
"""dB: the contour by which the width of the beam is judged"""

ENDS = {"horizontal": ("left −, right +"), "vertical": ("down −, up +")}


def draw_off_axis_map(axes: Axes, relative: xr.DataArray) -> Axes:
    """Draw the full circle of one plane, with the contour 6 dB below the axis.

    Args:
        axes: where to draw; the key to the colours is put beside it.
        relative: dB relative to the axis, dims (angle, frequency), with the coordinate `plane`.

    Returns:
        The axes.
    """
    frequency = relative.frequency.values
    angle, values = closed_circle(relative)
    filled = fill_levels(axes, frequency, angle, values)
    axes.contour(
        frequency, angle, values, levels=[BEAM], colors=PAPER, linewidths=1.6, linestyles="solid"
    )
    plane = str(relative.plane.values)
    labels(axes, "Frequency in Hz", f"Angle from the axis in degrees\n({ENDS[plane]})")
    axes.set_ylim(-180, 180)
    axes.yaxis.set_major_locator(FixedLocator(range(-180, 181, 45)))
    map_axes(axes, frequency)
    colour_key(axes, filled, "Level relative to the axis in dB\n(white line: −6 dB)")
    return axes


def closed_circle(relative: xr.DataArray) -> tuple[np.ndarray, np.ndarray]:
    """Angles from −180° to 180° and values of shape (angle, frequency), both ends being one."""
    relative = relative.transpose("angle", "frequency")
    angle, values = relative.angle.values, relative.values
    if angle[0] > -180:  # the circle closes where it was opened
        return (
            np.concatenate(([angle[-1] - 360], angle)),
            np.concatenate((values[-1:], values)),
        )
    return angle, values


def fill_levels(
    axes: Axes, x: np.ndarray, y: np.ndarray, values: np.ndarray, steps: np.ndarray = STEPS
) -> Any:
    """Fill a map with the colours of levels (dB), cut to the steps; shape (y, x)."""
    norm = BoundaryNorm(steps, LOUDNESS.N)
    cut = np.clip(values, steps[0], steps[-1])
    return axes.contourf(x, y, cut, levels=steps, cmap=LOUDNESS, norm=norm)


def map_axes(axes: Axes, frequency: np.ndarray) -> None:
    """A frequency axis whose grid lies over the colours."""
    frequency_axis(axes, *shown_frequencies(frequency))
    axes.grid(True, which="major", color=QUIET, linewidth=0.5, alpha=0.5)
    axes.grid(False, which="minor")
    axes.set_axisbelow(False)


def colour_key(axes: Axes, filled: Any, words: str) -> None:
    """The key to a map's colours, beside it."""
    steps = filled.levels[::2]
    bar = axes.figure.colorbar(filled, ax=axes, ticks=steps, pad=0.02, fraction=0.06)
    bar.minorticks_off()
    bar.set_label(words, fontsize=LABEL, color=INK, **WORDS)
    bar.ax.tick_params(labelsize=TICK, labelfontfamily=FONT, color=QUIET, labelcolor=INK)
    bar.ax.set_yticklabels([signed(step) for step in steps])
    bar.outline.set_edgecolor(QUIET)


def signed(step: float) -> str:
    """A level with its sign: "−6", "0", "+6"."""
    return f"{step:+.0f}".replace("-", "−") if step else "0"
