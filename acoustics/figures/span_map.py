"""How the level changes over a line of ears, up and down or sideways, at every frequency."""

from __future__ import annotations

import numpy as np
import xarray as xr
from matplotlib.axes import Axes

from acoustics.figures.off_axis_map import colour_key, fill_levels, map_axes
from acoustics.figures.style import INK, PAPER, labels, note

FINE_STEPS = np.arange(-12.0, 6.1, 1.5)
"""dB relative to the ears, where one colour ends and the next begins"""


def draw_span_map(
    axes: Axes, relative: xr.DataArray, span: xr.Dataset, place: float, y: str
) -> Axes:
    """Draw the level relative to that at the ears, and the range in which it stays within 3 dB.

    Args:
        axes: where to draw; the key to the colours is put beside it.
        relative: dB relative to the level at the ears, dims (line, frequency), in that order.
        span: span_low and span_high (frequency), narrowest_span and narrowest_frequency, of
            `listening.height_span` or `listening.aside_span`.
        place: where on the line the ears are, m.
        y: label of the line, with its unit.

    Returns:
        The axes.
    """
    frequency, line = relative.frequency.values, relative[relative.dims[0]].values
    filled = fill_levels(axes, frequency, line, relative.values, FINE_STEPS)
    for end in ("span_low", "span_high"):
        axes.plot(frequency, span[end].values, color=PAPER, linewidth=3.2)
        axes.plot(frequency, span[end].values, color=INK, linewidth=1.6)
    axes.axhline(place, color=INK, linewidth=1.0, linestyle=(0, (1, 2)))
    labels(axes, "Frequency in Hz", y)
    axes.set_ylim(line[0], line[-1])
    map_axes(axes, frequency)
    narrowest = float(span.narrowest_span)
    if np.isfinite(narrowest):
        at = float(span.narrowest_frequency)
        ends = [
            float(span[e].sel(frequency=at, method="nearest")) for e in ("span_low", "span_high")
        ]
        axes.plot([at, at], ends, color=INK, linewidth=2.4)
        least = "at least " if bool(span.narrowest_open) else ""
        note(
            axes,
            at * 0.94,
            float(np.mean(ends)),
            f"{least}{narrowest:.2f} m",
            ha="right",
            va="center",
        )
    colour_key(axes, filled, "Level relative to the ears in dB\n(black lines: ±3 dB)")
    return axes
