"""What maps tell: frequency, angle or height, and the level there, from the data themselves."""

from __future__ import annotations

import xarray as xr
from matplotlib.figure import Figure

from acoustics.figures.off_axis_map import closed_circle
from acoustics.figures.sheets import over_heights
from acoustics.report.html.reading.panel import Field, Reading, Scale, panel_of

FREQUENCY = Scale("Frequency", "Hz")

ANGLES = {
    "horizontal": Scale("Angle", "°", ahead="right", back="left", digits=1),
    "vertical": Scale("Angle", "°", ahead="up", back="down", digits=1),
}

HEIGHT = Scale("Height", "m", ahead="above the floor", back="below the floor", digits=2)


def off_axis_reading(figure: Figure, relative: xr.DataArray) -> Reading:
    """Of the map of one plane, as `off_axis_map_sheet` draws it.

    Args:
        figure: the map.
        relative: what `off_axis_level` has for that plane.
    """
    angle, values = closed_circle(relative)
    field = Field(relative.frequency.values, angle, values, "dB", "relative to the axis")
    return (
        panel_of(figure.axes[0], x=FREQUENCY, y=ANGLES[str(relative.plane.values)], field=field),
    )


def over_height_reading(figure: Figure, prediction: xr.Dataset) -> Reading:
    """Of the map over ear height, as `over_height_sheet` draws it."""
    relative, ear = over_heights(prediction)
    words = f"relative to ears at {ear:g} m"
    field = Field(relative.frequency.values, relative.height.values, relative.values, "dB", words)
    return (panel_of(figure.axes[0], x=FREQUENCY, y=HEIGHT, field=field),)
