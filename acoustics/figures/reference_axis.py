"""The response on the reference axis and what each driver adds to it."""

from __future__ import annotations

import numpy as np
import xarray as xr
from matplotlib.axes import Axes

from acoustics.figures.style import (
    INK,
    QUIET,
    frequency_axis,
    key,
    labels,
    level_axis,
    note,
    series,
    shown_frequencies,
)
from acoustics.studies.wording import hertz

LINE = "straight line"


def draw_reference_axis(
    axes: Axes,
    total: xr.DataArray,
    shares: xr.DataArray,
    crossovers: np.ndarray,
    line: xr.DataArray | None = None,
) -> Axes:
    """Draw the sum, every driver's share, the crossover frequencies and the fitted line.

    Args:
        axes: where to draw.
        total: dB re 20 µPa of all drivers together, dims (frequency).
        shares: dB re 20 µPa of each driver alone, dims (driver, frequency).
        crossovers: Hz, shape (crossover,), may be empty.
        line: dB, the straight line by which ripple and tilt are judged, over its band.

    Returns:
        The axes.
    """
    frequency = total.frequency.values
    axes.plot(frequency, total.values, color=INK, linewidth=2.6, label="all together")
    for i, driver in enumerate(shares.driver.values):
        curve = shares.sel(driver=driver).values
        axes.plot(frequency, curve, linewidth=1.7, label=f"{driver} alone", **series(i))
    if line is not None:
        axes.plot(
            line.frequency.values, line.values, color=QUIET, linewidth=1.4, zorder=1, label=LINE
        )
    labels(axes, "Frequency in Hz", "Level in dB re 20 µPa\nfor 2.83 V")
    frequency_axis(axes, *shown_frequencies(frequency))
    level_axis(axes, float(max(total.max(), shares.max())))
    bottom = axes.get_ylim()[0]
    for crossover in crossovers:
        axes.axvline(crossover, color=QUIET, linewidth=1.0, linestyle=(0, (2, 2)), zorder=1)
        note(axes, crossover, bottom + 1, hertz(crossover), ha="center", va="bottom", color=QUIET)
    key(axes)
    return axes
