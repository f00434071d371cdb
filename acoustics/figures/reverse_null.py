"""The drivers' levels through their crossovers, and the sum with one side reversed."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

import numpy as np
import xarray as xr
from matplotlib.axes import Axes

from acoustics.figures.style import (
    DASHES,
    HANDLE_COLUMNS,
    INK,
    KEY_COLUMNS,
    SERIES,
    labels,
    level_axis,
    note,
    series,
)
from acoustics.listening.reverse_null import SKIRT
from acoustics.studies.wording import hertz

SPAN = 50.0
"""dB shown: a deep null, and room for its depth below"""

BEYOND = 0.5
"""octaves: how far beyond an overlap the reversed sum is drawn"""


def draw_reverse_null(
    axes: Axes,
    total: xr.DataArray,
    shares: xr.DataArray,
    turned: xr.DataArray,
    null: xr.Dataset,
    overlaps: Sequence[tuple[float, float]],
) -> Axes:
    """Draw the sum, every driver's share, and the sum with one side reversed.

    Args:
        axes: where to draw, over frequency; its ends are set already.
        total: dB re 20 µPa of all drivers together, dims (frequency).
        shares: dB re 20 µPa of each driver alone, dims (driver, frequency).
        turned: dB re 20 µPa with all above a crossover reversed, dims (crossover, frequency).
        null: as `listening.reverse_null` gives it, at one place.
        overlaps: Hz, lower and upper end for each crossover, NaN where there is none.

    Returns:
        The axes.
    """
    frequency = total.frequency.values
    low, high = axes.get_xlim()
    shown = (frequency >= low) & (frequency <= high)
    axes.plot(frequency, total.values, color=INK, linewidth=2.6, label="as built")
    for i, driver in enumerate(shares.driver.values):
        curve = shares.sel(driver=driver).values
        if (curve[shown] > float(total[shown].max()) - SPAN).any():
            axes.plot(frequency, curve, linewidth=1.5, label=f"{driver} alone", **series(i))
    for i, (start, stop) in enumerate(overlaps):
        near = (frequency >= start * 2**-BEYOND) & (frequency <= stop * 2**BEYOND)
        upper = str(null.upper_driver.values[i])
        more = " and above" if i < len(overlaps) - 1 else ""
        name = textwrap.fill(f"{upper}{more} reversed", KEY_COLUMNS - HANDLE_COLUMNS)
        curve = np.where(near, turned.isel(crossover=i).values, np.nan)
        how = {"color": SERIES[3], "linestyle": DASHES[(4, 2)[i % 2]]}
        axes.plot(frequency, curve, linewidth=2.0, label=name, **how)
    labels(axes, "", "Level in dB re 20 µPa\nfor 2.83 V")
    drawn = (total[shown], shares[:, shown], turned[:, shown])
    level_axis(axes, max(float(each.max()) for each in drawn), SPAN)
    for i in range(null.crossover.size):
        _mark(axes, null.isel(crossover=i))
    return axes


def _mark(axes: Axes, null: xr.Dataset) -> None:
    """How deep a dip is, and where, at the foot of the panel: there the drivers' curves are not."""
    at, depth = float(null.null_frequency), float(null.null_depth)
    if not depth >= SKIRT:
        return
    words = f"−{depth:.0f} dB\n{hertz(at)}"
    note(axes, at, axes.get_ylim()[0] + 1.0, words, ha="center", va="bottom", color=SERIES[3])
