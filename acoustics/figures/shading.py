"""Grey where a driver plays beyond what a flat piston stands for."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.axes import Axes

SHADE = "#e3e6ea"

MEANING = "Grey: a driver beyond its piston range, less certain."

BAR = 0.03
"""part of a map's height that its grey bar takes"""

Bands = Sequence[tuple[float, float]]
"""lowest and highest frequency of each, Hz"""


def shade(axes: Axes, bands: Bands) -> None:
    """Shade bands of a frequency axis behind the curves."""
    for low, high in bands:
        axes.axvspan(low, high, color=SHADE, linewidth=0, zorder=0)


def mark_below(axes: Axes, bands: Bands) -> None:
    """Mark bands by a grey bar along the lower edge of a map, which leaves its colours alone."""
    for low, high in bands:
        axes.axvspan(low, high, ymax=BAR, color="#8d959f", linewidth=0, zorder=3)
