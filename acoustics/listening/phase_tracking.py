"""How well the phases of two drivers track each other through their crossover."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import xarray as xr

from acoustics.listening.overlap import OVERLAP, overlap_of, pair_of
from acoustics.listening.sides import sides

IN_STEP = 45.0
"""degrees: closer than this, drivers lose at most 0.7 dB (common practice, no source)"""


@dataclass(frozen=True)
class Tracking:
    """How two drivers hand over.

    `low` and `high`, Hz: ends of the overlap; `largest_phase` and `rms_phase`, degrees, the latter
    weighted by how much both count and over log frequency; `delay`, s, by which the upper one
    comes later, from the slope of the phase, whatever it starts from; `largest_loss`, dB, by which
    the sum lies below that of both in phase at worst. All NaN where they do not overlap.
    """

    low: float
    high: float
    largest_phase: float
    rms_phase: float
    delay: float
    largest_loss: float


def tracking(
    frequency: np.ndarray, lower: np.ndarray, upper: np.ndarray, crossover: float
) -> Tracking:
    """How two drivers hand over, from their pressures at one place.

    Args:
        frequency: Hz, ascending, shape (frequency,).
        lower: pressure of what plays below, complex, exp(+jωt), shape (frequency,).
        upper: of what plays above, likewise; both from the same instant on.
        crossover: Hz, about where the one hands over to the other.
    """
    band = overlap_of(pair_of(frequency, lower, upper), crossover)
    if band is None or band.frequency.size < 2:
        return Tracking(*[float("nan")] * 6)
    octaves, phase, weight = np.log2(band.frequency), band.phase, band.weight

    def mean(values: np.ndarray) -> float:
        return float(np.trapezoid(weight * values, octaves) / np.trapezoid(weight, octaves))

    turned = np.unwrap(phase, period=360.0)
    away = band.frequency - mean(band.frequency)
    slope = mean(away * turned) / mean(away**2)
    return Tracking(
        low=float(band.frequency[0]),
        high=float(band.frequency[-1]),
        largest_phase=float(np.abs(phase).max()),
        rms_phase=float(np.sqrt(mean(phase**2))),
        delay=-slope / 360.0,
        largest_loss=float(band.below_in_phase().max()),
    )


def phase_tracking(prediction: xr.Dataset) -> xr.Dataset:
    """How each driver hands over to the next, on the reference axis and at the main seat.

    What plays below a crossover and what plays above it are each taken together (`sides`). They
    overlap where their levels are within `OVERLAP` dB of each other.

    Args:
        prediction: as `predict` makes it.

    Returns:
        crossover_frequency (Hz), lower_driver, upper_driver over crossover. Over (crossover,
        place, frequency), NaN outside the overlap: phase_difference, degrees, of the upper
        relative to the lower, −180 to 180, and sum_loss, dB, by which the sum lies below that of
        both in phase. Over (crossover, place), NaN where drivers do not overlap: overlap_low,
        overlap_high (Hz), largest_phase, rms_phase (degree), tracking_delay (s, positive where the
        upper comes later), largest_loss (dB); see `Tracking`. The attribute `ear_height`, m, is
        the one at the main seat. Dims of length 0 where no two drivers cross.
    """
    heard = sides(prediction)
    grid = heard.frequency.values
    shape = heard.crossover.size, heard.place.size
    curves = np.full((2, *shape, grid.size), np.nan)
    figures = np.full((6, *shape), np.nan)
    for i, j in np.ndindex(*shape):
        lower, upper = heard.lower_side.values[i, j], heard.upper_side.values[i, j]
        found = tracking(grid, lower, upper, float(heard.crossover_frequency[i]))
        figures[:, i, j] = (
            found.low,
            found.high,
            found.largest_phase,
            found.rms_phase,
            found.delay,
            found.largest_loss,
        )
        inside = (grid >= found.low) & (grid <= found.high)
        pair = pair_of(grid, lower, upper)
        curves[:, i, j] = np.where(inside, (pair.phase, pair.below_in_phase()), np.nan)
    over = f"where levels are within {OVERLAP:g} dB"
    named = (
        ("overlap_low", "Hz", f"lower end of the overlap, {over}"),
        ("overlap_high", "Hz", f"upper end of the overlap, {over}"),
        ("largest_phase", "degree", "largest phase between the drivers in the overlap"),
        ("rms_phase", "degree", "weighted rms of the phase between the drivers in the overlap"),
        ("tracking_delay", "s", "delay of the upper driver, from the slope of the phase"),
        ("largest_loss", "dB", "most that the sum lies below that of both in phase"),
    )
    along = (
        ("phase_difference", "degree", "phase of the upper driver relative to the lower"),
        ("sum_loss", "dB", "how far the sum lies below that of both in phase"),
    )
    of_place, of_curve = ("crossover", "place"), ("crossover", "place", "frequency")
    return heard.drop_vars(("lower_side", "upper_side")).assign(
        {
            name: (dims, values, {"units": unit, "long_name": meaning})
            for dims, group, data in ((of_curve, along, curves), (of_place, named, figures))
            for (name, unit, meaning), values in zip(group, data, strict=True)
        }
    )
