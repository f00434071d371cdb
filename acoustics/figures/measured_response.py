"""A measured response: far and near field, what they make together, and the noise."""

from __future__ import annotations

import numpy as np
import xarray as xr
from matplotlib.axes import Axes

from acoustics.conventions import REFERENCE_PRESSURE
from acoustics.figures.style import (
    GRID,
    INK,
    QUIET,
    SERIES,
    frequency_axis,
    labels,
    level_axis,
    level_top,
    shown_frequencies,
)

LEAST_SPAN, MOST_SPAN = 50.0, 120.0
"""dB shown, so that the noise is in sight"""


def draw_measured_response(axes: Axes, one: xr.Dataset) -> Axes:
    """Draw the response, bold where it can be trusted, over what it was made of.

    Args:
        axes: where to draw.
        one: of a measurement, one driver.

    Returns:
        The axes.
    """
    frequency = one.frequency.values
    absolute = one.response.attrs.get("units") == "Pa"
    reference = REFERENCE_PRESSURE if absolute else 1.0

    def level(values: np.ndarray) -> np.ndarray:
        size = np.abs(values) / reference
        answer: np.ndarray = 20 * np.log10(np.where(size > 0, size, np.nan))
        return answer

    low, high = float(one.valid_low), float(one.valid_high)
    inside = (frequency >= low) & (frequency <= high)
    ends = shown_frequencies(frequency)
    if inside.any():
        for span in ((ends[0], low), (high, ends[1])):
            if span[0] < span[1]:
                axes.axvspan(*span, color=GRID, alpha=0.45, linewidth=0)
    if inside.any():
        bold = np.where(inside, level(one.response.values), np.nan)
        axes.plot(frequency, bold, color=INK, linewidth=3.4, label="response, trusted")
    axes.plot(
        frequency, level(one.far_response.values), color=SERIES[1], linewidth=1.3, ls=(0, (6, 2)),
        label="far field, gated",
    )  # fmt: skip
    if np.isfinite(one.low_response.values).any():
        axes.plot(
            frequency, level(one.low_response.values), color=SERIES[2], linewidth=1.5,
            ls=(0, (2, 1.5)), label="near fields, at the far microphone",
        )  # fmt: skip
    axes.plot(
        frequency, level(one.noise.values), color=QUIET, linewidth=1.0, ls=(0, (1, 1)),
        label="noise under the far field",
    )  # fmt: skip
    labels(axes, "Frequency in Hz", "Level in dB" if absolute else "Level in dB of full scale")
    frequency_axis(axes, *ends)
    shown = level(one.response.values)
    highest = float(np.nanmax(shown[inside] if inside.any() else shown))
    lowest = float(np.nanpercentile(level(one.noise.values), 10))
    reach = 10 * np.ceil((level_top(highest) - lowest) / 10)
    level_axis(axes, highest, float(np.clip(reach, LEAST_SPAN, MOST_SPAN)))
    return axes
