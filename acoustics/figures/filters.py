"""What the crossover does to each driver."""

from __future__ import annotations

import numpy as np
import xarray as xr
from matplotlib.axes import Axes

from acoustics.figures.style import (
    INK,
    frequency_axis,
    key,
    labels,
    level_axis,
    series,
    shown_frequencies,
)

HELD = "held at its largest gain"


def draw_filters(axes: Axes, gains: xr.DataArray, held: xr.DataArray) -> Axes:
    """Draw the magnitude of every driver's filter.

    Args:
        axes: where to draw.
        gains: dB, dims (driver, frequency).
        held: where a computed filter is held at the limit of its gain, likewise.

    Returns:
        The axes.
    """
    frequency = gains.frequency.values
    for i, driver in enumerate(gains.driver.values):
        curve = gains.sel(driver=driver).values
        axes.plot(frequency, curve, linewidth=1.9, label=str(driver), **series(i))
    at = held.transpose("driver", "frequency").values
    if at.any():
        row, column = np.nonzero(at)
        top = gains.transpose("driver", "frequency").values[row, column]
        axes.plot(
            frequency[column], top, ".", color=INK, markersize=5, label=HELD, linestyle="none"
        )
    labels(axes, "Frequency in Hz", "Gain in dB")
    frequency_axis(axes, *shown_frequencies(frequency))
    level_axis(axes, float(gains.max()))
    key(axes)
    return axes
