"""The curves of ANSI/CTA-2034-A: what reaches the seat, the walls and the room."""

from __future__ import annotations

import xarray as xr
from matplotlib.axes import Axes

from acoustics.figures.style import (
    INK,
    frequency_axis,
    index_axis,
    labels,
    level_axis,
    panel_title,
    series,
    shown_frequencies,
)

CURVES = {
    "on_axis": "on axis",
    "listening_window": "listening window",
    "early_reflections": "early reflections",
    "sound_power": "sound power",
    "estimated_in_room": "estimated in-room",
}
"""Variable → name in the key."""

INDICES = {"early_reflections_index": "early reflections", "sound_power_index": "sound power"}

SPAN = 30.0
"""dB shown"""


def draw_standard_curves(axes: Axes, curves: xr.Dataset) -> Axes:
    """Draw the five levels of `listening.standard_curves`; returns the axes."""
    frequency = curves.frequency.values
    for i, (name, label) in enumerate(CURVES.items()):
        how = {"color": INK, "linestyle": "-"} if i == 0 else series(i - 1)
        axes.plot(frequency, curves[name].values, linewidth=1.8, label=label, **how)
    labels(axes, "Frequency in Hz", "Level in dB re 20 µPa")
    frequency_axis(axes, *shown_frequencies(frequency))
    level_axis(axes, max(float(curves[name].max()) for name in CURVES), SPAN)
    return axes


def draw_directivity_indices(axes: Axes, curves: xr.Dataset) -> Axes:
    """Draw both directivity indices, in the colours of what they compare; returns the axes."""
    frequency = curves.frequency.values
    for name, label in INDICES.items():
        place = list(CURVES.values()).index(label)
        axes.plot(frequency, curves[name].values, linewidth=1.8, **series(place - 1))
    labels(axes, "Frequency in Hz", "Index in dB")
    frequency_axis(axes, *shown_frequencies(frequency))
    shown = [curves[name] for name in INDICES]
    index_axis(axes, min(float(s.min()) for s in shown), max(float(s.max()) for s in shown))
    panel_title(axes, "directivity index: listening window minus each")
    return axes
