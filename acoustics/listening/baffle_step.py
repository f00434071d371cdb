"""How a driver's level on the axis rises as the baffle becomes large against the wavelength."""

from __future__ import annotations

import numpy as np
import xarray as xr

from acoustics.case.text.units import hertz
from acoustics.listening.bands import reaches
from acoustics.listening.levels import smoothed_power

SMOOTHING = 3.0
"""Denominator of the fraction of an octave over which power is averaged before it is read."""

HALF_STEP = 10 * np.log10(2.0)
"""dB: half of the 6.02 dB between radiation into the full and the half space."""

LOW_ENOUGH = 4.0
"""The half-step frequency over the lowest predicted one must be at least this.

Closer, and the level at the lowest frequency has itself risen: by 0.1 dB at this ratio for a
source on a sphere.
"""

MOST_KA = 2.0
"""Up to here the rise is the baffle's; above, the piston's own size joins in."""


def baffle_step(prediction: xr.Dataset) -> xr.Dataset:
    """Find each driver's half-step frequency and rise on the reference axis.

    T is the driver's pressure over that of a free point source at its centre, the filters, the
    driver's own response and its ports left out. The trade's rule says 115 Hz m over the baffle's
    width (common practice, no source); here it comes from the field of the cabinet.

    Args:
        prediction: as `predict` makes it.

    Returns:
        Over driver: half_step_frequency (Hz), where T smoothed by 1/3 octave first lies 3.01 dB
        above T at the lowest predicted frequency; step_rise (dB), the highest smoothed T up to
        ka = 2 of the driver's piston above that same level, 6.02 for a step from full to half
        space; step_note, empty or why one of them is NaN.
    """
    given, frequency = prediction.attrs, prediction.frequency.values
    aside = prediction.driver_x - given["reference_x"]
    up = prediction.driver_y - given["reference_y"]
    ahead = given["reference_distance"] - prediction.driver_z
    distance = np.sqrt(aside**2 + up**2 + ahead**2)
    free = 2 * np.pi * prediction.frequency * given["density"] / (4 * np.pi * distance)
    power = ((abs(prediction.cone_field) / free) ** 2).transpose("driver", "frequency")
    levels = 10 * np.log10(smoothed_power(power, frequency, SMOOTHING).values)
    lowest = 10 * np.log10(power.values[:, 0])
    limits = MOST_KA * given["speed_of_sound"] / (np.pi * prediction.piston_diameter.values)
    steps = [
        _step(frequency, level, float(start), float(limit))
        for level, start, limit in zip(levels, lowest, limits, strict=True)
    ]
    halves, rises, notes = zip(*steps, strict=True)
    return xr.Dataset(
        {
            "half_step_frequency": (
                "driver",
                np.array(halves),
                {"units": "Hz", "long_name": "frequency halfway up the baffle step"},
            ),
            "step_rise": (
                "driver",
                np.array(rises),
                {"units": "dB", "long_name": "rise of the level on the axis by the baffle"},
            ),
            "step_note": (
                "driver",
                np.array(notes, dtype=str),
                {"long_name": "why the step is not known"},
            ),
        },
        coords={"driver": prediction.driver},
    )


def _step(
    frequency: np.ndarray, level: np.ndarray, lowest: float, limit: float
) -> tuple[float, float, str]:
    """Half-step frequency (Hz), rise (dB) and note of one driver.

    Args:
        frequency: Hz, ascending, shape (frequency,).
        level: smoothed T, dB, shape (frequency,).
        lowest: T at the lowest frequency, dB.
        limit: where the driver's piston reaches ka = 2, Hz.
    """
    rise = level - lowest
    high = rise >= HALF_STEP
    start, stop = (hertz(float(f"{f:.3g}")) for f in frequency[[0, -1]])
    if not high.any() and lowest > HALF_STEP / 2:
        return (
            np.nan,
            np.nan,
            f"at the lowest frequency predicted, {start}, the level is already {lowest:.1f} dB "
            "above that of a source without a baffle; predict lower frequencies",
        )
    if not high.any():
        return (
            np.nan,
            np.nan,
            f"the level rises by only {rise.max():.1f} dB from {start} to {stop}; predict higher "
            "frequencies",
        )
    i = int(high.argmax())
    if i == 0:
        half = float(frequency[0])
    else:
        part = (HALF_STEP - rise[i - 1]) / (rise[i] - rise[i - 1])
        half = float(frequency[i - 1] * (frequency[i] / frequency[i - 1]) ** part)
    if frequency[0] * LOW_ENOUGH > half:
        needed = hertz(float(f"{half / (2 * LOW_ENOUGH):.2g}"))
        return (
            np.nan,
            np.nan,
            f"the level has begun to rise at the lowest frequency predicted, {start}; predict from "
            f"{needed} or lower",
        )
    if not reaches(frequency, limit):
        needed = hertz(float(f"{limit:.3g}"))
        return half, np.nan, f"the rise is read up to {needed}, but predicted only up to {stop}"
    return half, float(rise[frequency <= limit].max()), ""
