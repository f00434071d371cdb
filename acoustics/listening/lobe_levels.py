"""The level over angle around each crossover, as it is and not relative to the axis."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.conventions import DIRECT
from acoustics.listening.crossovers import crossovers
from acoustics.listening.height_window import OFFSETS
from acoustics.listening.levels import LEVEL_NAME, level
from acoustics.listening.listeners import heard
from acoustics.listening.lobes import arc_power


def lobe_levels(prediction: xr.Dataset) -> xr.Dataset:
    """Level up and down in front, at each crossover and half an octave to either side.

    Not relative to the axis, so that a null there can be told from a lobe elsewhere.

    Args:
        prediction: as `predict` makes it.

    Returns:
        crossover_frequency, lower_driver, upper_driver (crossover); arc_level (crossover, offset,
        lobe_angle), dB re 20 µPa at the reference distance, every 0.25 degrees or less from
        straight down to straight up, NaN where the frequency was not predicted; seat_angle
        (ear_height), degrees, in which direction the main seat's ears lie, positive up. `offset`
        is in octaves from the crossover.
    """
    found = crossovers(prediction)
    corner = found.crossover_frequency.values
    asked = (corner[:, None] * 2.0 ** np.array(OFFSETS)).reshape(-1)
    angle, power = arc_power(prediction, "vertical", asked)
    front = np.abs(angle) <= 90 + 1e-9
    shape = corner.size, len(OFFSETS), int(front.sum())
    size = xr.DataArray(
        np.sqrt(power[:, front]).reshape(shape), dims=("crossover", "offset", "lobe_angle")
    )
    degrees = {"units": "degree"}
    return found.assign(
        arc_level=level(size).assign_attrs(long_name=LEVEL_NAME),
        seat_angle=seat_angles(prediction),
    ).assign_coords(
        offset=(
            "offset",
            np.array(OFFSETS),
            {"units": "octave", "long_name": "distance from the crossover frequency"},
        ),
        lobe_angle=(
            "lobe_angle",
            angle[front],
            {**degrees, "long_name": "angle from the reference axis, positive up"},
        ),
    )


def seat_angles(prediction: xr.Dataset) -> xr.DataArray:
    """How far above the reference axis the ears at the main seat lie, degrees, dims (ear_height).

    Seen from the side, from the reference point; negative below.
    """
    ears = heard(prediction).seat_position.sel(path=DIRECT, drop=True)
    up = ears.sel(axis="y", drop=True) - prediction.attrs["reference_y"]
    ahead = np.hypot(
        ears.sel(axis="x", drop=True) - prediction.attrs["reference_x"],
        ears.sel(axis="z", drop=True),
    )
    angle: xr.DataArray = np.degrees(np.arctan2(up, ahead))
    return angle.assign_attrs(units="degree", long_name="direction of the ears, positive up")
