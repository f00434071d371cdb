"""How far the ears may move up and down before a crossover is heard."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.listening.crossovers import crossovers
from acoustics.listening.delay import common_delay
from acoustics.listening.interpolation import cubic, pressure_at
from acoustics.listening.levels import LEVEL_NAME, level

TOLERANCE = 3.0
"""dB: the window ends where the level differs by more from that at the ear height."""

OFFSETS = (-0.5, 0.0, 0.5)
"""octaves from the crossover frequency at which the level over height is given"""

STEP = 0.005
"""m: spacing at which the window's ends are looked for before they are interpolated."""


def height_window(prediction: xr.Dataset, tolerance: float = TOLERANCE) -> xr.Dataset:
    """Level over height around each crossover, and the window about each ear height.

    The window is the range of heights around an ear height in which the level at the crossover
    frequency stays within `tolerance` of that at the ear height. No floor.

    Args:
        prediction: as `predict` makes it.
        tolerance: dB.

    Returns:
        crossover_frequency, lower_driver, upper_driver (crossover); height_level (crossover,
        offset, height), dB re 20 µPa, at half an octave below, at and half an octave above the
        crossover, NaN outside the predicted frequencies; window_low, window_high, window_height
        (crossover, ear_height), m; window_open (crossover, ear_height), true where the window
        reaches an end of the predicted heights, so that it is at least this high.
    """
    found = crossovers(prediction)
    frequency = found.crossover_frequency.values
    height, ears = prediction.height.values, prediction.ear_height.values
    asked = (frequency[:, None] * 2.0 ** np.array(OFFSETS)).reshape(-1)
    still = pressure_at(
        prediction.height_total,
        asked,
        distance_over_height(prediction),
        speed_of_sound=prediction.attrs["speed_of_sound"],
        delay=common_delay(prediction, asked),
    ).transpose("frequency", "height")
    levels = level(still).values.reshape(frequency.size, len(OFFSETS), height.size)

    middle = still.values.reshape(frequency.size, len(OFFSETS), height.size)[:, OFFSETS.index(0.0)]
    count = round((height[-1] - height[0]) / STEP)
    fine = np.linspace(height[0], height[-1], count + 1)
    with np.errstate(divide="ignore"):
        over_height = 20 * np.log10(np.abs(cubic(height, middle, fine)))
        at_ears = 20 * np.log10(np.abs(cubic(height, middle, ears)))
    windows = np.array(
        [
            [_window(fine, row - at, ear, tolerance) for ear, at in zip(ears, ats, strict=True)]
            for row, ats in zip(over_height, at_ears, strict=True)
        ]
    ).reshape(frequency.size, ears.size, 2)
    low, high = windows[..., 0], windows[..., 1]
    dims, metres = ("crossover", "ear_height"), {"units": "m"}
    within = f"of the window within {tolerance:g} dB of the ear height"
    return found.assign(
        height_level=(
            ("crossover", "offset", "height"),
            levels,
            {"units": "dB", "long_name": LEVEL_NAME},
        ),
        window_low=(dims, low, {**metres, "long_name": f"lower end {within}"}),
        window_high=(dims, high, {**metres, "long_name": f"upper end {within}"}),
        window_height=(dims, high - low, {**metres, "long_name": f"height {within}"}),
        window_open=(
            dims,
            (low <= height[0]) | (high >= height[-1]),
            {"long_name": "the window reaches an end of the predicted heights"},
        ),
    ).assign_coords(
        offset=(
            "offset",
            np.array(OFFSETS),
            {"units": "octave", "long_name": "distance from the crossover frequency"},
        ),
        height=prediction.height,
        ear_height=prediction.ear_height,
    )


def distance_over_height(prediction: xr.Dataset) -> xr.DataArray:
    """Distance (m) from the reference point to the line over height, dims (height)."""
    given = prediction.attrs
    floor = -given["cabinet_height"] / 2 - given["cabinet_base_height"]
    up = prediction.height + floor - given["reference_y"]
    return np.sqrt(up**2 + given["reference_x"] ** 2 + given["seat_distance"] ** 2)


def _window(
    height: np.ndarray, difference: np.ndarray, ear: float, tolerance: float
) -> tuple[float, float]:
    """Find the ends (m) of the range around `ear` that keeps |difference| within the tolerance."""
    if not np.isfinite(difference).all():
        return np.nan, np.nan
    away = np.abs(difference)
    above, below = height > ear, height < ear
    return (
        _end(ear, height[below][::-1], away[below][::-1], tolerance),
        _end(ear, height[above], away[above], tolerance),
    )


def _end(ear: float, height: np.ndarray, away: np.ndarray, tolerance: float) -> float:
    """Where |difference|, 0 at the ear, first passes the tolerance; else the last height."""
    height, away = np.concatenate(([ear], height)), np.concatenate(([0.0], away))
    outside = away > tolerance
    if not outside.any():
        return float(height[-1])
    i = int(outside.argmax())
    part = (tolerance - away[i - 1]) / (away[i] - away[i - 1])
    return float(height[i - 1] + part * (height[i] - height[i - 1]))
