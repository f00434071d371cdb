"""How much the left side differs from the right."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import xarray as xr

from acoustics.case.design.model import BAND, SMOOTHING
from acoustics.listening.bands import in_band
from acoustics.listening.levels import decibels, in_decibels, smoothed, smoothed_power
from acoustics.listening.stamp import stamped
from acoustics.listening.standard_curves import Direction

WITHIN = 60.0
"""degrees: angles that count."""


def side_difference(
    prediction: xr.Dataset,
    band: tuple[float, float] = BAND,
    within: float = WITHIN,
    smoothing: float | None = SMOOTHING,
) -> xr.DataArray:
    """Level on the right minus level at the mirror angle on the left, horizontal plane.

    Args:
        prediction: as `predict` makes it.
        band: lowest and highest frequency, Hz.
        within: largest angle that counts, degrees.
        smoothing: denominator of the fraction of an octave over which power is averaged first.

    Returns:
        dB, dims (angle, frequency), angles above 0 to `within`.
    """
    power = abs(prediction.arc_total.sel(plane="horizontal", drop=True)) ** 2
    levels = decibels(smoothed_power(power, prediction.frequency, smoothing))
    levels = levels.isel(frequency=in_band(prediction.frequency.values, band))
    angle = prediction.angle.values
    right = angle[(angle > 0) & (angle <= within)]
    left = levels.sel(angle=-right, method="nearest").assign_coords(angle=right)
    return stamped(levels.sel(angle=right) - left, "dB", "level right minus left", "difference")


def mirrored_difference(
    power: xr.DataArray,
    directions: Sequence[Direction],
    frequency: np.ndarray,
    band: tuple[float, float] = BAND,
    smoothing: float | None = SMOOTHING,
) -> xr.DataArray:
    """Root mean square of the level to the right minus that to the left at the mirror angle.

    Args:
        power: squared pressure, dims (…, direction, frequency).
        directions: plane and angle of each of its directions.
        frequency: Hz, ascending, shape (frequency,).
        band: lowest and highest frequency, Hz.
        smoothing: as in `side_difference`.

    Returns:
        dB, over all horizontal angles that have a mirror image and the band, every octave alike
        where the frequencies lie evenly in them; 0 where no direction has one.
    """
    at = power.transpose(..., "direction", "frequency")
    shape = at.isel(direction=0, frequency=0, drop=True)
    rms = shape.copy(data=sides_apart(at.values, directions, frequency, band, smoothing))
    return stamped(rms, "dB", "left and right apart, rms over angles and band", "side_difference")


def sides_apart(
    power: np.ndarray,
    directions: Sequence[Direction],
    frequency: np.ndarray,
    band: tuple[float, float] = BAND,
    smoothing: float | None = SMOOTHING,
) -> np.ndarray:
    """As `mirrored_difference`, of bare arrays (…, direction, frequency)."""
    pairs = [
        (n, directions.index((plane, -angle)))
        for n, (plane, angle) in enumerate(directions)
        if plane == "horizontal" and angle > 0 and (plane, -angle) in directions
    ]
    if not pairs:
        return np.zeros(power.shape[:-2])
    levels = in_decibels(smoothed(power, frequency, smoothing))[..., in_band(frequency, band)]
    right, left = (levels[..., list(side), :] for side in zip(*pairs, strict=True))
    answer: np.ndarray = ((right - left) ** 2).mean(axis=(-2, -1)) ** 0.5
    return answer


def rms_side_difference(prediction: xr.Dataset, **how: float) -> xr.DataArray:
    """Root mean square of `side_difference` over its angles and frequencies: one figure, dB."""
    rms = (side_difference(prediction, **how) ** 2).mean() ** 0.5  # type: ignore[arg-type]
    return stamped(rms, "dB", "left and right apart, rms over angles and band", "side_difference")
