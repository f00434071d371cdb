"""What happens off the axis: levels relative to it, and how wide the beam is."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.listening.bands import in_band
from acoustics.listening.levels import decibels, smoothed_power
from acoustics.listening.stamp import stamped

DROP = 6.0
"""dB below the reference axis at which the beam ends.

The coverage angle of IEC 60268-5 has the same drop but counts from the maximum (from memory); here
the listener's axis is what the rest is compared with.
"""

NULL = 10.0
"""dB: an axis this far below the strongest direction of both arcs lies in a null.

A beam about it has no width.
"""

FLOOR = -200.0
"""dB re the strongest direction: a null is no deeper than this, so that levels stay finite."""

FULL_CIRCLE = 360.0

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
    return _off_axis_level(_power(prediction, smoothing))


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
        (plane, frequency), degrees. Where the level falls that far at no angle, the beam is the
        full circle: 360, −180 and 180; NaN where the axis lies in a null (see `axis_in_null`).
    """
    power = _power(prediction, smoothing)
    relative = _off_axis_level(power)
    in_null = _axis_in_null(power).values
    angle = relative.angle.values
    around = np.moveaxis(relative.values, 1, -1)
    from_axis = np.roll(around, -int(np.argmin(np.abs(angle))), axis=-1)
    step = angle[1] - angle[0]
    ends = (
        step * _first_crossing(from_axis, -drop),
        step * _first_crossing(np.roll(from_axis[..., ::-1], 1, axis=-1), -drop),
    )
    never = np.isnan(ends[0])
    right, left = (np.where(in_null, np.nan, np.where(never, FULL_CIRCLE / 2, end)) for end in ends)
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

    360 where the level falls to the limit at no angle in the whole band; NaN where the axis lies
    in a null anywhere in the band, or no frequency lies in it. `how` is handed to `directivity`.
    """
    width = directivity(prediction, **how).beamwidth
    inside = in_band(width.frequency.values, band)
    if inside.any():
        least = width.isel(frequency=inside).min("frequency", skipna=False)
    else:
        least = width.isel(frequency=0, drop=True) * np.nan
    return stamped(
        least,
        "degree",
        f"smallest beamwidth from {band[0]:g} to {band[1]:g} Hz (360: never falls that far)",
        "least_beamwidth",
    )


def axis_in_null(prediction: xr.Dataset, smoothing: float | None = None) -> xr.DataArray:
    """Where the reference axis is more than 10 dB below the strongest direction of both arcs.

    Args:
        prediction: as `predict` makes it.
        smoothing: as in `off_axis_level`.

    Returns:
        Boolean, dims (frequency).
    """
    return _axis_in_null(_power(prediction, smoothing))


def _axis_in_null(power: xr.DataArray) -> xr.DataArray:
    axis = power.sel(angle=0.0, drop=True).max("plane")
    low = axis < power.max(("plane", "angle")) * 10 ** (-NULL / 10)
    return stamped(low, "", "the reference axis lies in a null", "axis_in_null")


def _power(prediction: xr.Dataset, smoothing: float | None) -> xr.DataArray:
    return smoothed_power(abs(prediction.arc_total) ** 2, prediction.frequency, smoothing)


def _off_axis_level(power: xr.DataArray) -> xr.DataArray:
    relative = decibels(_over_axis(power)).transpose("plane", "angle", "frequency")
    return stamped(
        relative.clip(min=FLOOR), "dB", "level relative to the reference axis", "off_axis_level"
    )


def _over_axis(power: xr.DataArray) -> xr.DataArray:
    """Power over that on the axis, both no deeper than `FLOOR` below the strongest direction."""
    strongest = power.max(("plane", "angle"))
    least = (strongest * 10 ** (FLOOR / 10)).clip(min=np.finfo(float).tiny)
    raised = power.where(power > least, least)
    ratio: xr.DataArray = raised / raised.sel(angle=0.0, drop=True)
    return ratio


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
