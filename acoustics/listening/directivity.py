"""What happens off the axis: levels relative to it, and how wide the beam is."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.listening.bands import in_band
from acoustics.listening.levels import decibels, smoothed_power
from acoustics.listening.stamp import stamped

DROP = 6.0
"""dB below the axis at which the beam ends (IEC 60268-5: coverage angle)."""

FLOOR = -200.0
"""dB: a null is drawn no deeper than this, so that differences stay finite."""

BISECTIONS = 40


def off_axis_level(prediction: xr.Dataset, smoothing: float | None = None) -> xr.DataArray:
    """Level on both arcs relative to the reference axis.

    Args:
        prediction: as `predict` makes it.
        smoothing: denominator of the fraction of an octave over which power is averaged first;
            None for none.

    Returns:
        dB, dims (plane, angle, frequency); 0 at angle 0.
    """
    power = smoothed_power(abs(prediction.arc_total) ** 2, prediction.frequency, smoothing)
    relative = decibels(power) - decibels(power.sel(angle=0.0)).drop_vars("angle")
    relative = relative.transpose("plane", "angle", "frequency")
    return stamped(
        relative.clip(min=FLOOR), "dB", "level relative to the reference axis", "off_axis_level"
    )


def directivity(
    prediction: xr.Dataset, drop: float = DROP, smoothing: float | None = None
) -> xr.Dataset:
    """Off-axis levels and the beam in both planes.

    The beam is the range of angles around the axis in which the level stays within `drop` of the
    axis; its ends are interpolated between the angles by a cubic.

    Args:
        prediction: as `predict` makes it.
        drop: dB below the axis.
        smoothing: as in `off_axis_level`.

    Returns:
        off_axis_level (plane, angle, frequency), dB; beamwidth, beam_low and beam_high
        (plane, frequency), degrees, NaN where the level falls that far at no angle.
    """
    relative = off_axis_level(prediction, smoothing)
    angle = relative.angle.values
    around = np.moveaxis(relative.values, 1, -1)
    from_axis = np.roll(around, -int(np.argmin(np.abs(angle))), axis=-1)
    step = angle[1] - angle[0]
    right = step * _first_crossing(from_axis, -drop)
    left = step * _first_crossing(np.roll(from_axis[..., ::-1], 1, axis=-1), -drop)
    shape = relative.isel(angle=0, drop=True)
    name = f"{drop:g} dB below the axis"
    return xr.Dataset(
        {
            "off_axis_level": relative,
            "beamwidth": stamped(shape.copy(data=left + right), "degree", f"beamwidth, {name}"),
            "beam_low": stamped(shape.copy(data=-left), "degree", f"left or lower end, {name}"),
            "beam_high": stamped(shape.copy(data=right), "degree", f"right or upper end, {name}"),
        }
    )


def least_beamwidth(
    prediction: xr.Dataset, band: tuple[float, float], **how: float
) -> xr.DataArray:
    """Smallest beamwidth over a band, per plane, degrees.

    A level that falls to the limit at no angle counts as a beam of 360 degrees. `how` is handed
    to `directivity`.
    """
    width = directivity(prediction, **how).beamwidth.fillna(360.0)
    inside = in_band(width.frequency.values, band)
    least = width.where(xr.DataArray(inside, dims="frequency")).min("frequency")
    return stamped(
        least,
        "degree",
        f"smallest beamwidth from {band[0]:g} to {band[1]:g} Hz (360: never falls that far)",
        "least_beamwidth",
    )


def _first_crossing(values: np.ndarray, limit: float) -> np.ndarray:
    """Count the steps from the first value to where values fall below a limit, round a circle.

    Args:
        values: dB, shape (…, angle), evenly spaced over the circle, starting on the axis.
        limit: dB, below the first value.

    Returns:
        Shape (…), NaN where no value lies below the limit.
    """
    below = values < limit
    first = below.argmax(axis=-1)
    around = (first[..., None] + np.arange(-2, 2)) % values.shape[-1]
    before, start, end, after = np.moveaxis(np.take_along_axis(values, around, axis=-1), -1, 0)
    low, high = np.zeros(first.shape), np.ones(first.shape)
    for _ in range(BISECTIONS):
        t = (low + high) / 2
        # Lagrange's cubic through the values at −1, 0, 1 and 2.
        value = (
            -before * t * (t - 1) * (t - 2) / 6
            + start * (t + 1) * (t - 1) * (t - 2) / 2
            - end * (t + 1) * t * (t - 2) / 2
            + after * (t + 1) * t * (t - 1) / 6
        )
        inside = value >= limit
        low, high = np.where(inside, t, low), np.where(inside, high, t)
    return np.where(below.any(axis=-1), first - 1 + (low + high) / 2, np.nan)
