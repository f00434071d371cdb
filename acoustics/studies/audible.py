"""Whether the difference between designs can be heard at all."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import xarray as xr

from acoustics.case.model import BAND
from acoustics.listening import band_level, heard, standard_curves
from acoustics.listening.bands import in_band, why_not_covered
from acoustics.listening.bounce import HIGHEST
from acoustics.listening.dips import LOWEST
from acoustics.listening.error import level_error
from acoustics.listening.levels import decibels, smoothed_power
from acoustics.studies.seats import common_ear_heights, common_listeners
from acoustics.studies.surfaces import surfaces_of

NOTICED = 0.5
"""dB: a smaller difference in level is not noticed.

About 0.5 to 1 dB are the least that trained listeners tell apart when they switch directly between
two sounds (Zwicker & Fastl, Psychoacoustics, ch. 7, just-noticeable level differences; from
memory).
"""

SMOOTHING = 3.0
"""Denominator of the fraction of an octave over which power is averaged: about what the ear takes
together."""

WITH_REFLECTIONS = LOWEST, HIGHEST
"""Hz: where reflections make dips that are judged."""


@dataclass(frozen=True)
class Difference:
    """How far designs lie apart at one place, their mean levels made equal.

    `largest` (dB) is the difference at the `frequency` (Hz) where it is largest, and `uncertainty`
    (dB) how far it may be off. `listener` says which seat and cabinet, where there are several.
    """

    place: str
    listener: str
    largest: float
    frequency: float
    uncertainty: float


@dataclass(frozen=True)
class Audible:
    """Whether designs sound different, by their largest difference at each place.

    `louder` is by how much their mean levels on the reference axis differ (dB), which the volume
    control makes good.
    """

    differences: tuple[Difference, ...]
    louder: float

    @property
    def most(self) -> Difference:
        """Where they differ most."""
        return max(self.differences, key=lambda each: each.largest)

    @property
    def heard(self) -> bool | None:
        """Whether some difference can be heard; None where that is too close to call."""
        if any(each.largest - each.uncertainty > NOTICED for each in self.differences):
            return True
        low = all(each.largest + each.uncertainty < NOTICED for each in self.differences)
        return False if low else None


def audible(predictions: Sequence[xr.Dataset]) -> Audible | None:
    """Find the largest differences of smoothed levels on the axis, around it and at the seats.

    Levels are smoothed by 1/3 octave and lose their mean over the band, 300 Hz to 10 kHz: designs
    differ as far as they do when equally loud. At a seat with reflections the band is that of the
    dips, 100 Hz to 1.5 kHz.

    Args:
        predictions: of two or more designs.

    Returns:
        None where a prediction does not cover 300 Hz to 10 kHz. Places that not all designs have
        are left out.
    """
    if any(why_not_covered(each.frequency.values, BAND, SMOOTHING) for each in predictions):
        return None
    differences = tuple(
        _difference(place, predictions, curves, band)
        for place, curves, band in _curves(predictions)
    )
    means = [float(band_level(on_axis(each), each.frequency, BAND)) for each in predictions]
    return Audible(differences, float(np.ptp(means)))


def _curves(
    predictions: Sequence[xr.Dataset],
) -> Iterator[tuple[str, list[xr.DataArray], tuple[float, float]]]:
    """Where designs are held against each other: power of each, dims (…, frequency), and band."""
    yield "on the reference axis", [abs(on_axis(each)) ** 2 for each in predictions], BAND
    standard = [standard_curves(each) for each in predictions]
    for name, place in (
        ("listening_window", "in the listening window"),
        ("estimated_in_room", "in the estimated in-room curve"),
    ):
        yield place, [10 ** (each[name] / 10) for each in standard], BAND
    if not (ears := common_ear_heights(predictions)):
        return
    shared = common_listeners(predictions)
    names = xr.DataArray([name for name, _ in shared], dims="listener", name="listener")
    totals = [
        xr.concat([heard(each, ones[i]).seat_total for _, ones in shared], names).sel(
            ear_height=list(ears), method="nearest"
        )
        for i, each in enumerate(predictions)
    ]
    surfaces = {frozenset(surfaces_of(each)) for each in predictions}
    for place, surroundings, band in (
        ("at the seat in free space", "free space", BAND),
        ("at the seat with reflections", "with reflections", WITH_REFLECTIONS),
    ):
        if surroundings == "free space" or (len(surfaces) == 1 and any(surfaces)):
            chosen = [each.sel(surroundings=surroundings, drop=True) for each in totals]
            yield place, [abs(each) ** 2 for each in chosen], band


def _difference(
    place: str,
    predictions: Sequence[xr.Dataset],
    curves: Sequence[xr.DataArray],
    band: tuple[float, float],
) -> Difference:
    """Where levels lie farthest apart once each has lost its mean over the band.

    Curves have the dims (listener, ear_height, frequency) or (frequency).
    """
    grid = predictions[0].frequency.values
    grid = grid[in_band(grid, band)]
    octaves = np.gradient(np.log2(grid))
    levels = []
    for curve in curves:
        smooth = decibels(smoothed_power(curve, curve.frequency, SMOOTHING))
        smooth = smooth.transpose("listener", ..., "frequency", missing_dims="ignore")
        rows = smooth.values.reshape(-1, curve.frequency.size)
        x, own = np.log2(grid), np.log2(curve.frequency.values)
        at_grid = np.array([np.interp(x, own, row) for row in rows])
        levels.append(at_grid - (at_grid @ octaves / octaves.sum())[:, None])
    each = np.array(levels)  # (design, place, frequency)
    apart = np.ptp(each, axis=0)
    row, at = np.unravel_index(int(apart.argmax()), apart.shape)
    ends = np.argsort(each[:, row, at])[[0, -1]]
    doubt = sum(float(level_error(predictions[i], grid[at])) for i in ends)
    listener = ""
    if "listener" in curves[0].dims:
        names = curves[0].listener.values
        listener = str(names[row // (apart.shape[0] // names.size)])
    return Difference(place, listener, float(apart[row, at]), float(grid[at]), doubt)


def on_axis(prediction: xr.Dataset) -> xr.DataArray:
    """Pressure on the reference axis, Pa, dims (frequency)."""
    return prediction.arc_total.sel(plane="horizontal", angle=0.0)
