"""How far cones move, and how fast the air in ports."""

from __future__ import annotations

import numpy as np
import xarray as xr
from matplotlib.axes import Axes

from acoustics.figures.style import (
    INK,
    frequency_axis,
    labels,
    series,
    shown_frequencies,
)

HEADROOM = 1.15
"""of the axis over the largest value"""


def draw_box_displacement(axes: Axes, box: xr.Dataset) -> Axes:
    """Draw the peak displacement of cones at the highest input (thick) and for 2.83 V (thin).

    Args:
        axes: where to draw.
        box: one enclosure of a box study, with its own radiators.

    Returns:
        The axes.
    """
    return _draw(axes, box, "displacement", 1e3, "Displacement\nin mm, peak", box.most_displacement)


def draw_box_air_speed(axes: Axes, box: xr.Dataset) -> Axes:
    """Draw the peak air speed in ports at the input that all but they allow, and for 2.83 V.

    Args:
        axes: where to draw.
        box: one enclosure of a box study, with its own radiators.

    Returns:
        The axes.
    """
    most = np.full(box.sizes["radiator"], float(box.attrs["most_port_speed"]))
    return _draw(axes, box, "air_speed", 1.0, "Air speed\nin m/s, peak", most)


def _draw(
    axes: Axes,
    box: xr.Dataset,
    name: str,
    scale: float,
    label: str,
    most: np.ndarray | xr.DataArray,
) -> Axes:
    frequency, top = box.frequency.values, 0.0
    for row in range(box.sizes["radiator"]):
        quiet = scale * box[name].values[row]
        if np.isnan(quiet).all():
            continue
        loud, allowed = scale * box[f"{name}_at_limit"].values[row], scale * float(most[row])
        how = series(row)
        axes.plot(frequency, quiet, linewidth=0.9, **how)
        axes.plot(frequency, loud, linewidth=2.0, **how)
        if np.isfinite(allowed):
            axes.axhline(allowed, color=INK, linewidth=0.9, linestyle=":")
        known = np.array([np.nanmax(quiet), allowed, *loud])
        top = max(top, float(known[np.isfinite(known)].max()))
    labels(axes, "", label)
    frequency_axis(axes, *shown_frequencies(frequency))
    axes.set_ylim(0, HEADROOM * top)
    return axes
