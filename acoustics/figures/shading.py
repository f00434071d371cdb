"""Grey where a driver plays beyond what a flat piston, or what was measured of it, stands for."""

from __future__ import annotations

from collections.abc import Sequence

import xarray as xr
from matplotlib.axes import Axes

from acoustics.listening.trust import past_measurements

SHADE = "#e3e6ea"

MEANING = "Grey: a driver beyond its piston range, less certain."
CARRIED_ON = "Grey: past a driver's piston range or measurement, less sure."

BAR = 0.03
"""part of a map's height that its grey bar takes"""

Bands = Sequence[tuple[float, float]]
"""lowest and highest frequency of each, Hz"""


def meaning(bands: Bands, *predictions: xr.Dataset) -> str:
    """What the grey of these bands stands for in figures of some predictions; empty without any."""
    if not bands:
        return ""
    return CARRIED_ON if any(past_measurements(p).any() for p in predictions) else MEANING


def shade(axes: Axes, bands: Bands) -> None:
    """Shade bands of a frequency axis behind the curves."""
    for low, high in bands:
        axes.axvspan(low, high, color=SHADE, linewidth=0, zorder=0)


def mark_below(axes: Axes, bands: Bands) -> None:
    """Mark bands by a grey bar along the lower edge of a map, which leaves its colours alone."""
    for low, high in bands:
        axes.axvspan(low, high, ymax=BAR, color="#8d959f", linewidth=0, zorder=3)
