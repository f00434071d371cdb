"""Where the reference axis lies in a null: more than 10 dB below the strongest direction."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.listening.directivity import axis_in_null

FREQUENCY = np.array([500.0, 1000.0, 2000.0, 4000.0])


def test_the_axis_is_in_a_null_from_ten_decibels_down():
    """By levels put in: 9.9 and 10.1 dB below one direction of either arc; the axis is in both."""
    arc = np.zeros((2, 3, 4))  # dB: plane, angle −30° 0° 30°, frequency
    arc[0, 2, 0], arc[0, 2, 1] = 9.9, 10.1
    arc[1, 0, 2], arc[1, 0, 3] = 9.9, 10.1
    prediction = xr.Dataset(
        {"arc_total": (("plane", "angle", "frequency"), 10 ** (arc / 20) + 0j)},
        coords={
            "plane": ["horizontal", "vertical"],
            "angle": [-30.0, 0.0, 30.0],
            "frequency": FREQUENCY,
        },
    )
    assert axis_in_null(prediction).values.tolist() == [False, True, False, True]
