"""How far the ears may move up and down before a crossover is heard."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import xarray as xr

from acoustics.listening.crossovers import crossovers
from acoustics.listening.delay import common_delay
from acoustics.listening.distances import distances
from acoustics.listening.interpolation import cubic, pressure_at
from acoustics.listening.levels import LEVEL_NAME, level
from acoustics.listening.span import TOLERANCE, ends_about

OFFSETS = (-0.5, 0.0, 0.5)
"""octaves from the crossover frequency at which the level over height is given"""

STEP = 0.005
"""m: spacing at which the window's ends are looked for before they are interpolated."""


Ends = tuple[np.ndarray, np.ndarray, np.ndarray]


@dataclass(frozen=True)
class OverHeight:
    """Levels over height at each crossover, between the predicted heights.

    `crossovers` as `crossovers` finds them; `levels` (crossover, offset, height), dB re 20 µPa, at
    the predicted heights; `height` (point,), m; `fine` (crossover, point) and `at_ears` (crossover,
    ear_height), dB re 1 Pa; `ears` (ear_height,), m.
    """

    crossovers: xr.Dataset
    levels: np.ndarray
    height: np.ndarray
    fine: np.ndarray
    ears: np.ndarray
    at_ears: np.ndarray

    def windows(self, tolerance: float | np.ndarray) -> Ends:
        """Lower and upper ends (m) and whether open, each (crossover, ear_height).

        Args:
            tolerance: dB, a number or shape (crossover,).
        """
        ends = [
            ends_about(self.height, self.fine, ear, at, tolerance)
            for ear, at in zip(self.ears, self.at_ears.T, strict=True)
        ]
        low, high, reached = (np.stack(each, axis=-1) for each in zip(*ends, strict=True))
        return low, high, reached


def over_height(prediction: xr.Dataset) -> OverHeight:
    """Follow the level over height at each crossover; no reflections.

    Args:
        prediction: as one listener hears it (`listeners.heard`).
    """
    found = crossovers(prediction)
    frequency = found.crossover_frequency.values
    height, ears = prediction.height.values, prediction.ear_height.values
    asked = (frequency[:, None] * 2.0 ** np.array(OFFSETS)).reshape(-1)
    still = pressure_at(
        prediction.height_total,
        asked,
        distances(prediction, "height"),
        speed_of_sound=prediction.attrs["speed_of_sound"],
        delay=common_delay(prediction, asked),
    ).transpose("frequency", "height")
    shape = frequency.size, len(OFFSETS), height.size
    middle = still.values.reshape(shape)[:, OFFSETS.index(0.0)]
    fine, along, at_ears = between_heights(height, middle, ears)
    return OverHeight(found, level(still).values.reshape(shape), fine, along, ears, at_ears)


def between_heights(
    height: np.ndarray, pressure: np.ndarray, ears: np.ndarray
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Close heights (m, (point,)), and the level (dB re 1 Pa) at them and at the ears.

    Args:
        height: m, ascending, shape (height,).
        pressure: Pa, without the delay over the distance, complex (…, height).
        ears: m, shape (ear_height,).
    """
    count = round((height[-1] - height[0]) / STEP)
    fine = np.linspace(height[0], height[-1], count + 1)
    with np.errstate(divide="ignore"):
        along, at_ears = (20 * np.log10(np.abs(cubic(height, pressure, at))) for at in (fine, ears))
    return fine, along, at_ears


def height_window(prediction: xr.Dataset, tolerance: float = TOLERANCE) -> xr.Dataset:
    """Level over height around each crossover, and the window about each ear height.

    The window is the range of heights around an ear height in which the level at the crossover
    frequency stays within `tolerance` of that at the ear height. No floor.

    Args:
        prediction: as one listener hears it (`listeners.heard`).
        tolerance: dB.

    Returns:
        crossover_frequency, lower_driver, upper_driver (crossover); height_level (crossover,
        offset, height), dB re 20 µPa, at half an octave below, at and half an octave above the
        crossover, NaN outside the predicted frequencies; window_low, window_high, window_height
        (crossover, ear_height), m; window_open (crossover, ear_height), true where the window
        reaches an end of the predicted heights, so that it is at least this high.
    """
    lines = over_height(prediction)
    low, high, reached = lines.windows(tolerance)
    dims, metres = ("crossover", "ear_height"), {"units": "m"}
    within = f"of the window within {tolerance:g} dB of the ear height"
    return lines.crossovers.assign(
        height_level=(
            ("crossover", "offset", "height"),
            lines.levels,
            {"units": "dB", "long_name": LEVEL_NAME},
        ),
        window_low=(dims, low, {**metres, "long_name": f"lower end {within}"}),
        window_high=(dims, high, {**metres, "long_name": f"upper end {within}"}),
        window_height=(dims, high - low, {**metres, "long_name": f"height {within}"}),
        window_open=(
            dims,
            reached,
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
