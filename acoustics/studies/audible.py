"""Whether the difference between designs can be heard at all."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import xarray as xr

from acoustics.case.model import BAND
from acoustics.conventions import DIRECT, MAIN_SEAT
from acoustics.listening import band_level, heard, standard_curves
from acoustics.listening.bands import in_band, why_not_covered
from acoustics.listening.bounce import HIGHEST
from acoustics.listening.dips import LOWEST
from acoustics.listening.distances import distances
from acoustics.listening.error import level_error
from acoustics.listening.levels import decibels, smoothed_power
from acoustics.studies.seats import common_ear_heights, common_listeners, seat_words
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

SAME_DISTANCE = 0.01
"""relative: distances that differ by less change no level by 0.1 dB"""


@dataclass(frozen=True)
class Difference:
    """How far designs lie apart at one place, played equally loud.

    `largest` (dB) is the difference at the `frequency` (Hz) where it is largest, and `uncertainty`
    (dB) how far it may be off. `listener` says which seat and cabinet, where there are several;
    `main` marks the places at the main seat.
    """

    place: str
    listener: str
    largest: float
    frequency: float
    uncertainty: float
    main: bool = False

    @property
    def heard(self) -> bool | None:
        """Whether it can be heard; None where that is too close to call."""
        if self.largest - self.uncertainty > NOTICED:
            return True
        return False if self.largest + self.uncertainty < NOTICED else None


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
        return any_heard(self.differences)

    @property
    def heard_at_main(self) -> bool | None:
        """The same for the main seat; None also where no figure of it can be compared."""
        here = [each for each in self.differences if each.main]
        return any_heard(here) if here else None


def any_heard(differences: Sequence[Difference]) -> bool | None:
    """Whether one of them can be heard; None where that is too close to call."""
    heard = [each.heard for each in differences]
    return True if True in heard else None if None in heard else False


@dataclass(frozen=True)
class _Place:
    """Where designs are held against each other: power of each, dims (…, frequency)."""

    words: str
    curves: list[xr.DataArray]
    band: tuple[float, float]
    seat: bool = False
    main: bool = False


def audible(predictions: Sequence[xr.Dataset]) -> Audible | None:
    """Find the largest differences of smoothed levels on the axis, around it and at the seats.

    Levels are smoothed by 1/3 octave. Every design has one volume control: its mean level from
    300 Hz to 10 kHz on the reference axis is taken off all its curves, so that what differs in
    balance between places or cabinets stays. Where designs differ in how far the reference axis
    reaches or the main seat is, that mean says nothing of the seats, and the mean at the main seat,
    both cabinets together and without the room, takes its place there. The band is 300 Hz to
    10 kHz; at a seat with reflections that of the dips, 100 Hz to 1.5 kHz.

    Args:
        predictions: of two or more designs.

    Returns:
        None where a prediction does not cover 300 Hz to 10 kHz. Places that not all designs have
        are left out.
    """
    if any(why_not_covered(each.frequency.values, BAND, SMOOTHING) for each in predictions):
        return None
    places = list(_places(predictions))
    axis = _mean_levels(places[0].curves)
    at_main = next((place for place in places if place.main), None)
    seats = axis
    if at_main is not None and not _same_distances(predictions):
        seats = _mean_levels(at_main.curves)
    differences = tuple(
        _difference(place, predictions, seats if place.seat else axis) for place in places
    )
    means = [float(band_level(on_axis(each), each.frequency, BAND)) for each in predictions]
    return Audible(differences, float(np.ptp(means)))


def _places(predictions: Sequence[xr.Dataset]) -> Iterator[_Place]:
    """The reference axis first, then around it, the main seat and the others."""
    yield _Place("on the reference axis", [abs(on_axis(each)) ** 2 for each in predictions], BAND)
    standard = [standard_curves(each) for each in predictions]
    for name, words in (
        ("listening_window", "in the listening window"),
        ("estimated_in_room", "in the estimated in-room curve"),
    ):
        yield _Place(words, [10 ** (each[name] / 10) for each in standard], BAND)
    if common_ear_heights(predictions):
        yield from _seats(predictions)


def _seats(predictions: Sequence[xr.Dataset]) -> Iterator[_Place]:
    """The main seat and all others, in free space and with what the room sends back."""
    ears = list(common_ear_heights(predictions))
    shared = common_listeners(predictions)
    several = any(not ones[0].main for _, ones in shared)
    surfaces = {frozenset(surfaces_of(each)) for each in predictions}
    reflect = len(surfaces) == 1 and any(surfaces)
    for main, words in ((True, "main seat" if several else "seat"), (False, "other seats")):
        own = [(name, ones) for name, ones in shared if ones[0].main == main]
        if not own:
            continue
        here = seat_words(MAIN_SEAT)
        names = [name.removeprefix(here).removeprefix(", ") if main else name for name, _ in own]
        listener = xr.DataArray(names, dims="listener", name="listener")
        totals = [
            xr.concat([heard(each, ones[i]).seat_total for _, ones in own], listener).sel(
                ear_height=ears, method="nearest"
            )
            for i, each in enumerate(predictions)
        ]
        for surroundings, band in (("free space", BAND), ("with reflections", WITH_REFLECTIONS)):
            if surroundings == "with reflections" and not reflect:
                continue
            how = f"in {surroundings}" if surroundings == "free space" else surroundings
            chosen = [abs(each.sel(surroundings=surroundings, drop=True)) ** 2 for each in totals]
            yield _Place(f"at the {words} {how}", chosen, band, seat=True, main=main)


def _same_distances(predictions: Sequence[xr.Dataset]) -> bool:
    """Whether reference points and main seats are equally far away in all designs."""
    reach = [float(each.attrs["reference_distance"]) for each in predictions]
    ways = [_to_main_seat(each) for each in predictions]
    return all(
        np.ptp(each) <= SAME_DISTANCE * min(each) for each in (reach, *np.array(ways).T.tolist())
    )


def _to_main_seat(prediction: xr.Dataset) -> tuple[float, float]:
    """Shortest and longest distance of a cabinet from the main seat's middle ear height, m."""
    ear = prediction.ear_height.size // 2
    there = distances(prediction, "seat").sel(seat=MAIN_SEAT, path=DIRECT).isel(ear_height=ear)
    return float(there.min()), float(there.max())


def _smooth_levels(curve: xr.DataArray, grid: np.ndarray) -> np.ndarray:
    """Levels smoothed by 1/3 octave at some frequencies, dB, shape (row, frequency).

    Curves have the dims (listener, ear_height, frequency) or (frequency).
    """
    smooth = decibels(smoothed_power(curve, curve.frequency, SMOOTHING))
    smooth = smooth.transpose("listener", ..., "frequency", missing_dims="ignore")
    rows = smooth.values.reshape(-1, curve.frequency.size)
    x, own = np.log2(grid), np.log2(curve.frequency.values)
    return np.array([np.interp(x, own, row) for row in rows])


def _grid(curves: Sequence[xr.DataArray], band: tuple[float, float]) -> np.ndarray:
    grid: np.ndarray = curves[0].frequency.values
    return grid[in_band(grid, band)]


def _mean_levels(curves: Sequence[xr.DataArray]) -> np.ndarray:
    """Each design's mean level over the band and all its rows, every octave alike, dB."""
    grid = _grid(curves, BAND)
    octaves = np.gradient(np.log2(grid))
    return np.array(
        [float((_smooth_levels(curve, grid) @ octaves).mean()) / octaves.sum() for curve in curves]
    )


def _difference(place: _Place, predictions: Sequence[xr.Dataset], volume: np.ndarray) -> Difference:
    """Where levels lie farthest apart once each design's volume (dB) is taken off."""
    grid = _grid(place.curves, place.band)
    levels = np.array([_smooth_levels(curve, grid) for curve in place.curves])
    each = levels - volume[:, None, None]  # (design, row, frequency)
    apart = np.ptp(each, axis=0)
    row, at = np.unravel_index(int(apart.argmax()), apart.shape)
    ends = np.argsort(each[:, row, at])[[0, -1]]
    doubt = sum(float(level_error(predictions[i], grid[at])) for i in ends)
    listener = ""
    if "listener" in place.curves[0].dims:
        names = place.curves[0].listener.values
        listener = str(names[row // (apart.shape[0] // names.size)])
    return Difference(
        place.words, listener, float(apart[row, at]), float(grid[at]), doubt, place.main
    )


def on_axis(prediction: xr.Dataset) -> xr.DataArray:
    """Pressure on the reference axis, Pa, dims (frequency)."""
    return prediction.arc_total.sel(plane="horizontal", angle=0.0)
