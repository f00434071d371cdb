"""Where designs are held against each other by ear, and what is played there, equally loud."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import xarray as xr

from acoustics.case.design.model import BAND
from acoustics.conventions import DIRECT, MAIN_SEAT
from acoustics.listening import Listener, heard, standard_curves
from acoustics.listening.bands import in_band, why_not_covered
from acoustics.listening.bounce import HIGHEST
from acoustics.listening.dips import LOWEST
from acoustics.listening.distances import distances
from acoustics.listening.levels import decibels, smoothed_power
from acoustics.listening.surfaces import surfaces_of
from acoustics.studies.yardsticks.seats import common_ear_heights, common_listeners, seat_words

SMOOTHING = 3.0
"""Denominator of the fraction of an octave over which power is averaged: about what the ear takes
together."""

WITH_REFLECTIONS = LOWEST, HIGHEST
"""Hz: where reflections make dips that are judged."""

SAME_DISTANCE = 0.01
"""relative: distances that differ by less change no level by 0.1 dB"""


@dataclass(frozen=True)
class Place:
    """Where levels are held against each other, in the `band` (Hz).

    `words` say where. Of a seat, `listeners` name those who hear there, and `hears` are they in
    every design; `surroundings` are as in a prediction, `main` marks the main seat.
    """

    words: str
    band: tuple[float, float]
    listeners: tuple[str, ...] = ()
    hears: tuple[tuple[Listener, ...], ...] = ()
    surroundings: str = ""
    main: bool = False


@dataclass(frozen=True)
class Positions:
    """What designs have in common to be heard: the reference axis first, then around it, seats.

    `ears` (m) are the ear heights of all, `frequency` (Hz) is the first design's. `at_main` is the
    number of the place whose mean level is taken off the seats, 0 for the reference axis.
    """

    places: tuple[Place, ...]
    ears: tuple[float, ...]
    frequency: np.ndarray
    at_main: int

    def grid(self, band: tuple[float, float]) -> np.ndarray:
        """The frequencies in a band, Hz."""
        found: np.ndarray = self.frequency[in_band(self.frequency, band)]
        return found


def positions_of(predictions: Sequence[xr.Dataset]) -> Positions | None:
    """Find where all of some designs are heard; None where one does not cover 300 Hz to 10 kHz."""
    if any(why_not_covered(each.frequency.values, BAND, SMOOTHING) for each in predictions):
        return None
    ears = common_ear_heights(predictions)
    places = [Place(way, BAND) for way in _ROUND]
    if ears:
        places += _seats(predictions)
    mains = (number for number, place in enumerate(places) if place.main)
    at_main = 0 if _same_distances(predictions) else next(mains, 0)
    return Positions(tuple(places), ears, predictions[0].frequency.values, at_main)


def played(prediction: xr.Dataset, positions: Positions, design: int) -> list[np.ndarray]:
    """Levels at every place, smoothed by 1/3 octave, one volume control taken off.

    The mean level from 300 Hz to 10 kHz on the reference axis is taken off all curves, so that what
    differs in balance between places or cabinets stays. Where designs differ in how far the
    reference axis reaches or the main seat is, that mean says nothing of the seats, and the mean at
    the main seat, both cabinets together and without the room, takes its place there. The band is
    300 Hz to 10 kHz; at a seat with reflections that of the dips, 100 Hz to 1.5 kHz.

    Args:
        prediction: of a design, or of one of its builds, with ear heights called as the design's.
        positions: as `positions_of` gives it.
        design: the number of the design.

    Returns:
        dB, shape (row, frequency) of each place; rows are listeners and ear heights.
    """
    curves = _curves(prediction, positions, design)
    axis = _mean_level(curves[0], positions)
    seats = _mean_level(curves[positions.at_main], positions) if positions.at_main else axis
    return [
        _smooth_levels(curve, positions.grid(place.band)) - (seats if place.hears else axis)
        for curve, place in zip(curves, positions.places, strict=True)
    ]


def on_axis(prediction: xr.Dataset) -> xr.DataArray:
    """Pressure on the reference axis, Pa, dims (frequency)."""
    return prediction.arc_total.sel(plane="horizontal", angle=0.0)


_ROUND = {
    "on the reference axis": "",
    "in the listening window": "listening_window",
    "in the estimated in-room curve": "estimated_in_room",
}
"""Places round the cabinet → the standard curve there."""


def _seats(predictions: Sequence[xr.Dataset]) -> Iterator[Place]:
    """The main seat and all others, in free space and with what the room sends back."""
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
        hears = tuple(zip(*(ones for _, ones in own), strict=True))
        for surroundings, band in (("free space", BAND), ("with reflections", WITH_REFLECTIONS)):
            if surroundings == "with reflections" and not reflect:
                continue
            how = f"in {surroundings}" if surroundings == "free space" else surroundings
            yield Place(
                f"at the {words} {how}", band, tuple(map(str, names)), hears, surroundings, main
            )


def _curves(prediction: xr.Dataset, positions: Positions, design: int) -> list[xr.DataArray]:
    """Power at every place, dims (frequency) or (listener, ear_height, frequency)."""
    standard = standard_curves(prediction)
    found, ears = list[xr.DataArray](), list(positions.ears)
    for place in positions.places:
        if place.hears:
            total = xr.concat(
                [heard(prediction, one).seat_total for one in place.hears[design]], "listener"
            ).sel(ear_height=ears, method="nearest")
            found.append(abs(total.sel(surroundings=place.surroundings, drop=True)) ** 2)
        elif curve := _ROUND[place.words]:
            found.append(10 ** (standard[curve] / 10))
        else:
            found.append(abs(on_axis(prediction)) ** 2)
    return found


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


def _mean_level(curve: xr.DataArray, positions: Positions) -> float:
    """The mean level over the band and all rows, every octave alike, dB."""
    grid = positions.grid(BAND)
    octaves = np.gradient(np.log2(grid))
    return float((_smooth_levels(curve, grid) @ octaves).mean()) / float(octaves.sum())
