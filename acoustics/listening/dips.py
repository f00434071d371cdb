"""Dips of the whole response at the seat, and what makes them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import xarray as xr

from acoustics.conventions import DIRECT
from acoustics.crossover.crossings import leaders
from acoustics.listening.bands import why_not_followed
from acoustics.listening.causes import BAFFLE, CROSSOVER, level_parts
from acoustics.listening.crossovers import strength
from acoustics.listening.seat_waves import Curve, SeatWaves, lowest_between, seat_waves, surfaces_of

LOWEST = 100.0
"""Hz: below it the room's own resonances decide, which first reflections do not describe (common
practice, no source)."""

HIGHEST = 5000.0
"""Hz: above it lie no usual crossovers, and combs are finer than the ear's bands (common practice,
no source)."""

LEAST_DEPTH = 3.0
"""dB: a shallower dip is not told."""

LEAST_RISE = 1.0
"""dB: the level must rise by this much on both sides; less is a ripple on a slope."""

REACH = 2.0
"""Frequency ratio: the shoulders of a dip lie within one octave of it."""


@dataclass(frozen=True)
class Dip:
    """A dip between its two shoulders, frequencies in Hz.

    Its depth is that below the straight line, in log frequency, from shoulder to shoulder.
    """

    left: float
    lowest: float
    right: float

    @property
    def frequencies(self) -> np.ndarray:
        """Left shoulder, dip, right shoulder."""
        return np.array([self.left, self.lowest, self.right])

    @property
    def weights(self) -> np.ndarray:
        """What the levels at the three frequencies count for the depth; they add up to 0."""
        left, lowest, right = np.log(self.frequencies)
        part = (lowest - left) / (right - left)
        return np.array([1 - part, -1.0, part])


def dips(view: xr.Dataset) -> xr.Dataset:
    """Dips of the response at the seat with every reflection, and the part of each cause.

    A dip is a minimum of the level from 100 Hz to 5 kHz, followed between the predicted
    frequencies, at least 3 dB below the straight line between its shoulders: the highest points on
    either side, within one octave and no farther than the level stays above the minimum. As the
    level is a sum of its causes' parts (`causes`), so is the depth. A part is negative where that
    cause makes the dip shallower.

    Args:
        view: a prediction as one listener hears it.

    Returns:
        Over (ear_height, dip), ascending in frequency: dip_frequency (Hz), dip_depth (dB,
        positive), dip_driver (the strongest driver there), dip_cause (the largest part); dip_share
        (ear_height, dip, cause), dB, its causes "crossover", "cabinet and cone" and the
        surfaces' names. NaN or empty where an ear height has fewer dips than another. Between
        fewer than 6 frequencies per octave no dips are found, and the attribute `note` says so;
        else it is empty.

    Example:
        >>> prediction = ac.open_prediction("prediction.nc")  # doctest: +SKIP
        >>> ac.dips(ac.heard(prediction)).dip_frequency  # doctest: +SKIP
    """
    surfaces = surfaces_of(view)
    waves = seat_waves(view, (DIRECT, *surfaces))
    causes = np.array([CROSSOVER, BAFFLE, *surfaces])
    lead = leaders(strength(view).values)
    names, grid = view.driver.values, view.frequency.values

    ears = view.ear_height.size
    note = why_not_followed(grid)
    found = [[] if note else find_dips(waves, ear) for ear in range(ears)]
    shape = ears, max((len(each) for each in found), default=0)
    frequency, deep = np.full(shape, np.nan), np.full(shape, np.nan)
    share = np.full((*shape, causes.size), np.nan)
    driver, cause = np.full(shape, "", dtype=object), np.full(shape, "", dtype=object)
    for ear, each in enumerate(found):
        if not each:
            continue
        own = slice(len(each))
        frequency[ear, own] = [dip.lowest for dip in each]
        share[ear, own] = shares(waves, ear, each)
        deep[ear, own] = share[ear, own].sum(axis=-1)
        nearest = np.abs(np.log(grid) - np.log(frequency[ear, own])[:, None]).argmin(axis=1)
        driver[ear, own] = names[lead[nearest]]
        cause[ear, own] = causes[share[ear, own].argmax(axis=-1)]
    over = ("ear_height", "dip")
    return xr.Dataset(
        {
            "dip_frequency": (over, frequency, {"units": "Hz", "long_name": "frequency of a dip"}),
            "dip_depth": (
                over,
                deep,
                {"units": "dB", "long_name": "depth of a dip below the line between its shoulders"},
            ),
            "dip_driver": (
                over,
                driver.astype(str),
                {"long_name": "driver in whose pass band a dip falls"},
            ),
            "dip_cause": (over, cause.astype(str), {"long_name": "main cause of a dip"}),
            "dip_share": (
                (*over, "cause"),
                share,
                {"units": "dB", "long_name": "part of a dip's depth that a cause makes"},
            ),
        },
        coords={
            "ear_height": view.ear_height,
            "cause": ("cause", causes, {"long_name": "cause of a dip"}),
        },
        attrs={"note": note},
    )


def shares(waves: SeatWaves, ear: int, found: list[Dip]) -> np.ndarray:
    """Part of each cause in the depths of dips, dB, shape (dip, cause)."""
    frequency = np.concatenate([dip.frequencies for dip in found])
    parts = level_parts(
        waves.pressure(ear, frequency), waves.strength(frequency), waves.distance[:, 0, ear]
    )
    weights = np.array([dip.weights for dip in found])
    answer: np.ndarray = np.einsum("cdp,dp->dc", parts.reshape(-1, len(found), 3), weights)
    return answer


def find_dips(waves: SeatWaves, ear: int) -> list[Dip]:
    """Dips at one ear height, ascending."""

    def power(frequency: np.ndarray) -> np.ndarray:
        answer: np.ndarray = np.abs(waves.pressure(ear, frequency).sum(axis=(0, 1))) ** 2
        return answer

    place = waves.places(ear, LOWEST / REACH, HIGHEST * REACH)
    level = _decibels(power(place))
    inner = level[1:-1]
    pits = np.flatnonzero((inner < level[:-2]) & (inner <= level[2:])) + 1
    pits = pits[(place[pits] >= LOWEST) & (place[pits] <= HIGHEST)]
    sides = [shoulders(place, level, int(pit)) for pit in pits]
    rises = [min(level[left], level[right]) for left, right in sides] - level[pits]
    kept = np.flatnonzero(rises >= LEAST_RISE)
    if not kept.size:
        return []

    lowest = lowest_between(power, place[pits[kept] - 1], place[pits[kept] + 1])[0]
    tops = np.array(sides)[kept].ravel()
    below, above = place[np.maximum(tops - 1, 0)], place[np.minimum(tops + 1, place.size - 1)]
    top = lowest_between(lambda frequency: -power(frequency), below, above)[0].reshape(-1, 2)
    found = [
        Dip(float(left), float(pit), float(right))
        for (left, right), pit in zip(top, lowest, strict=True)
    ]
    return [dip for dip in found if depth(power, dip) >= LEAST_DEPTH]


def shoulders(place: np.ndarray, level: np.ndarray, pit: int) -> tuple[int, int]:
    """Where the level is highest on either side of a minimum, within reach and above it.

    Reaching over shallower dips, a deep and wide one is seen whole through the comb on it.

    Args:
        place: Hz, ascending, shape (place,).
        level: dB, shape (place,).
        pit: index of the minimum.

    Returns:
        Indices of the left and the right shoulder.
    """
    beyond = (level < level[pit]) | (place < place[pit] / REACH) | (place > place[pit] * REACH)
    ends = np.flatnonzero(beyond)
    left = ends[ends < pit].max(initial=-1) + 1
    right = ends[ends > pit].min(initial=level.size)
    return (
        int(left + level[left:pit].argmax()),
        int(pit + 1 + level[pit + 1 : right].argmax()),
    )


def depth(power: Curve, dip: Dip) -> float:
    """Depth of a dip in a curve of power, dB."""
    return float(_decibels(power(dip.frequencies)) @ dip.weights)


def _decibels(power: np.ndarray) -> np.ndarray:
    answer: np.ndarray = 10 * np.log10(np.maximum(power, np.finfo(float).tiny))
    return answer
