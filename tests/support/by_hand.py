"""Parts of a prediction made by hand, for tests of what is read from it."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import xarray as xr

SPEED, DENSITY, DISTANCE = 343.0, 1.2, 2.0

ATTRIBUTES = {
    "speed_of_sound": SPEED,
    "density": DENSITY,
    "reference_x": 0.0,
    "reference_y": 0.0,
    "reference_distance": DISTANCE,
}


def arcs(
    pattern: Callable[[str, np.ndarray, np.ndarray], np.ndarray],
    frequency: np.ndarray,
    step: float = 5.0,
) -> xr.Dataset:
    """Arcs whose pressure is pattern(plane, angle in rad as a column, frequency), Pa."""
    angle = step * np.arange(-((round(360 / step) - 1) // 2), round(360 / step) // 2 + 1)
    column = np.deg2rad(angle)[:, None]
    total = [
        np.broadcast_to(pattern(plane, column, frequency), (angle.size, frequency.size))
        for plane in ("horizontal", "vertical")
    ]
    return xr.Dataset(
        {"arc_total": (("plane", "angle", "frequency"), np.array(total, dtype=complex))},
        coords={
            "plane": ["horizontal", "vertical"],
            "angle": ("angle", angle),
            "frequency": ("frequency", frequency),
        },
        attrs=ATTRIBUTES,
    )
