"""How even the sound is to the left and to the right."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.case.design.model import BAND, SMOOTHING
from acoustics.listening import level, ripple_and_tilt
from acoustics.listening.bands import why_not_covered

SIDE_ANGLES = (-60.0, -30.0, 30.0, 60.0)
"""degrees, negative to the left"""


def side_ripple(prediction: xr.Dataset) -> xr.DataArray:
    """Ripple (half peak to peak about a straight line) at angles to both sides, horizontal.

    Band and smoothing are those of `listening.ripple_and_tilt`. Where an angle was not predicted,
    its nearest neighbour stands in for it.

    Returns:
        dB, dims (side_angle), degrees; NaN where the prediction does not cover the band.
    """
    pressure = side_pressure(prediction)
    ripple, _ = ripple_and_tilt(level(pressure), pressure.frequency)
    if why_not_covered(prediction.frequency.values, BAND, SMOOTHING):
        ripple = ripple.where(False)
    return ripple.rename("side_ripple").assign_attrs(units="dB", long_name="ripple to the side")


def side_pressure(prediction: xr.Dataset) -> xr.DataArray:
    """Pressure at `SIDE_ANGLES` on the horizontal arc, Pa, dims (side_angle, frequency)."""
    arc = prediction.arc_total.sel(plane="horizontal", drop=True)
    chosen = arc.sel(angle=np.array(SIDE_ANGLES), method="nearest").rename(angle="side_angle")
    return chosen.transpose("side_angle", "frequency")
