"""How much the left side differs from the right."""

from __future__ import annotations

import xarray as xr

from acoustics.case.model import BAND, SMOOTHING
from acoustics.listening.bands import in_band
from acoustics.listening.levels import decibels, smoothed_power
from acoustics.listening.stamp import stamped

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


def rms_side_difference(prediction: xr.Dataset, **how: float) -> xr.DataArray:
    """Root mean square of `side_difference` over its angles and frequencies: one figure, dB."""
    rms = (side_difference(prediction, **how) ** 2).mean() ** 0.5  # type: ignore[arg-type]
    return stamped(rms, "dB", "left and right apart, rms over angles and band", "side_difference")
