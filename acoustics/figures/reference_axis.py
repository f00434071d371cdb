"""The response on the reference axis and what each driver adds to it."""

from __future__ import annotations

from typing import Any

import numpy as np
import xarray as xr
from matplotlib.axes import Axes

from acoustics.figures.style import (
    DASHES,
    INK,
    QUIET,
    SERIES,
    frequency_axis,
    key,
    labels,
    level_axis,
    note,
    series,
    shown_frequencies,
)
from acoustics.studies.wording import hertz

LINE = "straight line, judged band"
"""by which ripple and tilt are told, with a mark at both ends of its band"""

TARGETS = "targets"


def draw_reference_axis(
    axes: Axes,
    total: xr.DataArray,
    shares: xr.DataArray,
    crossovers: np.ndarray,
    line: xr.DataArray | None = None,
    targets: xr.DataArray | None = None,
) -> Axes:
    """Draw the sum, every driver's share, the crossover frequencies, the fitted line and targets.

    Args:
        axes: where to draw.
        total: dB re 20 µPa of all drivers together, dims (frequency).
        shares: dB re 20 µPa of each driver alone, dims (driver, frequency).
        crossovers: Hz, shape (crossover,), may be empty.
        line: dB, the straight line by which ripple and tilt are judged, over its band.
        targets: dB re 20 µPa that acoustic slopes ask of each driver, dims (driver, frequency),
            NaN where they ask nothing.

    Returns:
        The axes.
    """
    frequency = total.frequency.values
    axes.plot(frequency, total.values, color=INK, linewidth=2.6, label="all together")
    for i, driver in enumerate(shares.driver.values):
        curve = shares.sel(driver=driver).values
        axes.plot(frequency, curve, linewidth=1.7, label=f"{driver} alone", **series(i))
    if line is not None:
        how: dict[str, Any] = {
            "marker": "|",
            "markersize": 12,
            "markeredgewidth": 1.4,
            "markevery": [0, -1],
        }
        x, y = line.frequency.values, line.values
        axes.plot(x, y, color=SERIES[-1], linewidth=1.3, zorder=3, label=LINE, **how)
    if targets is not None:
        asked = targets.transpose("driver", "frequency").values
        for i, target in enumerate(asked[np.isfinite(asked).any(axis=1)]):
            name = "" if i else TARGETS  # one entry in the key for all
            axes.plot(frequency, target, color=INK, linewidth=1.0, linestyle=DASHES[2], label=name)
    labels(axes, "Frequency in Hz", "Level in dB re 20 µPa\nfor 2.83 V")
    frequency_axis(axes, *shown_frequencies(frequency))
    level_axis(axes, float(max(total.max(), shares.max())))
    bottom = axes.get_ylim()[0]
    for crossover in crossovers:
        axes.axvline(crossover, color=QUIET, linewidth=1.0, linestyle=(0, (2, 2)), zorder=1)
        note(axes, crossover, bottom + 1, hertz(crossover), ha="center", va="bottom", color=QUIET)
    key(axes)
    return axes
