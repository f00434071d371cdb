"""The phase between what plays below a crossover and what plays above it."""

from __future__ import annotations

from typing import Any

import numpy as np
import xarray as xr
from matplotlib.axes import Axes
from matplotlib.ticker import MultipleLocator

from acoustics.figures.style import DASHES, INK, QUIET, SERIES, labels
from acoustics.listening.phase_tracking import IN_STEP
from acoustics.listening.sides import AXIS, SEAT

BAND = "#e3efe4"
"""tint of the phases at which drivers count as in step"""

PLACES: dict[str, dict[str, Any]] = {
    AXIS: {"color": INK, "linewidth": 2.4, "linestyle": DASHES[0]},
    SEAT: {"color": SERIES[4], "linewidth": 2.0, "linestyle": DASHES[3]},
}

TITLE = f"phase of the upper driver against the lower (green: ±{IN_STEP:g}°)"


def draw_phase_tracking(axes: Axes, tracking: xr.Dataset) -> Axes:
    """Draw the phase of the upper relative to the lower driver through every overlap.

    Args:
        axes: where to draw, over frequency.
        tracking: as `listening.phase_tracking` gives it.

    Returns:
        The axes; the frequency axis is left to the caller.
    """
    frequency = tracking.frequency.values
    for place, how in PLACES.items():
        ear = f" at {tracking.attrs['ear_height']:.2f} m" if place == SEAT else ""
        for i in range(tracking.crossover.size):
            phase = tracking.phase_difference.sel(place=place).isel(crossover=i).values
            name = None if i else f"phase, {place}{ear}"  # one entry in the key for all
            axes.plot(frequency, unbroken(phase), label=name, **how)
    phase_axis(axes)
    return axes


def phase_axis(axes: Axes) -> None:
    """A phase axis from −180 to 180 degrees with the band in which drivers are in step."""
    labels(axes, "Frequency in Hz", "Phase in degrees")
    axes.set_ylim(-180, 180)
    axes.yaxis.set_major_locator(MultipleLocator(90))
    axes.axhline(0.0, color=QUIET, linewidth=0.8, zorder=1)
    # A filled curve, not a patch: patches over frequency mean doubt.
    axes.fill_between([1e-3, 1e9], -IN_STEP, IN_STEP, color=BAND, linewidth=0, zorder=0.5)


def unbroken(phase: np.ndarray) -> np.ndarray:
    """A wrapped phase (degrees) with a gap in place of each jump from one end to the other."""
    answer = phase.copy()
    answer[1:][np.abs(np.diff(phase)) > 180.0] = np.nan
    return answer
