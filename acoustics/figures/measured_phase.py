"""Phases of measured drivers over each other, a common delay taken out."""

from __future__ import annotations

import numpy as np
import xarray as xr
from matplotlib.axes import Axes
from matplotlib.ticker import MultipleLocator

from acoustics.figures.style import frequency_axis, labels, series, shown_frequencies


def draw_measured_phase(axes: Axes, study: xr.Dataset) -> Axes:
    """Draw every driver's phase where it can be trusted, within ±180°.

    Args:
        axes: where to draw.
        study: a measurement.

    Returns:
        The axes.
    """
    frequency = study.frequency.values
    for row, name in enumerate(study.driver.values.tolist()):
        one = study.isel(driver=row)
        turn = np.exp(2j * np.pi * frequency * float(one.removed_delay))
        phase = np.degrees(np.angle(one.response.values * turn))
        inside = (frequency >= float(one.valid_low)) & (frequency <= float(one.valid_high))
        phase[~inside] = np.nan
        # A line from one end of the axis to the other would look like a phase.
        jump = np.abs(np.diff(phase, append=phase[-1])) > 180
        axes.plot(
            frequency, np.where(jump, np.nan, phase), linewidth=1.8, label=name, **series(row)
        )
    labels(axes, "Frequency in Hz", "Phase in degrees")
    frequency_axis(axes, *shown_frequencies(frequency))
    axes.set_ylim(-180, 180)
    axes.yaxis.set_major_locator(MultipleLocator(90))
    return axes
