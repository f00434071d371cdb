"""Harmonics of a measured driver over the frequency of the fundamental."""

from __future__ import annotations

import numpy as np
import xarray as xr
from matplotlib.axes import Axes

from acoustics.figures.style import QUIET, frequency_axis, labels, level_axis, series

ORDERS = {2: "second", 3: "third", 4: "fourth", 5: "fifth"}

SPAN = 80.0
"""dB shown"""


def draw_distortion(axes: Axes, one: xr.Dataset) -> Axes:
    """Draw each harmonic's level over the fundamental, and the noise in the lowest of them.

    Args:
        axes: where to draw.
        one: of a measurement, one driver.

    Returns:
        The axes.
    """
    frequency = one.frequency.values
    highest = -np.inf
    for row, order in enumerate(one.order.values.tolist()):
        level = one.harmonic.sel(order=order).values
        under = one.harmonic_noise.sel(order=order).values
        told = np.isfinite(level) & ~(level < under)
        if not told.any():
            continue
        highest = max(highest, float(level[told].max()))
        name = f"{ORDERS.get(order, order)} harmonic"
        axes.plot(frequency[told], level[told], linewidth=1.7, label=name, **series(row))
    noise = one.harmonic_noise.isel(order=0).values
    told = np.isfinite(noise)
    if told.any():
        axes.plot(
            frequency[told], noise[told], color=QUIET, linewidth=1.0, ls=(0, (1, 1)),
            label="noise in the second",
        )  # fmt: skip
    near = one.harmonic_near.values
    if near.any():
        axes.axvline(float(frequency[near][-1]), color=QUIET, linewidth=1.0)
    labels(axes, "Frequency of the fundamental in Hz", "dB over the fundamental")
    frequency_axis(axes)
    level_axis(axes, highest, SPAN)
    return axes
