"""What the amplifier sees: magnitude and phase."""

from __future__ import annotations

import numpy as np
import xarray as xr
from matplotlib.axes import Axes
from matplotlib.ticker import MultipleLocator

from acoustics.figures.style import (
    INK,
    QUIET,
    frequency_axis,
    labels,
    shown_frequencies,
)


def draw_impedance(axes: Axes, impedance: xr.DataArray, least: float) -> Axes:
    """Draw the magnitude of an impedance, and its phase on an axis to the right.

    Args:
        axes: where to draw.
        impedance: ohm, complex, dims (frequency,).
        least: the lowest for which the amplifier is made, ohm; NaN if that is not stated.

    Returns:
        The axes of the magnitude.
    """
    frequency, size = impedance.frequency.values, np.abs(impedance.values)
    axes.plot(frequency, size, color=INK, linewidth=1.9)
    if np.isfinite(least):
        axes.axhline(least, color=INK, linewidth=0.9, linestyle=":")
    labels(axes, "", "Impedance\nin ohm")
    frequency_axis(axes, *shown_frequencies(frequency))
    axes.set_ylim(0, 1.05 * float(size.max()))
    right = axes.twinx()
    right.plot(
        frequency, np.degrees(np.angle(impedance.values)), color=QUIET, linewidth=1.3, ls="--"
    )
    labels(right, "", "Phase\nin °")
    right.spines["right"].set_visible(True)
    right.spines["right"].set_color(QUIET)
    right.grid(False)
    right.set_ylim(-90, 90)
    right.yaxis.set_major_locator(MultipleLocator(45))
    return axes
