"""Whether the difference between designs can be heard at all."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
import xarray as xr

from acoustics.case.design.model import BAND
from acoustics.listening import band_level
from acoustics.listening.error import level_error
from acoustics.studies.yardsticks.build_ends import ends_of
from acoustics.studies.yardsticks.listening_positions import (
    Place,
    Positions,
    on_axis,
    played,
    positions_of,
)

NOTICED = 0.5
"""dB: a smaller difference in level is not noticed.

About 0.5 to 1 dB are the least that trained listeners tell apart when they switch directly between
two sounds (Zwicker & Fastl, Psychoacoustics, ch. 7, just-noticeable level differences; from
memory).
"""


@dataclass(frozen=True)
class Difference:
    """How far designs lie apart at one place, played equally loud.

    `largest` (dB) is the difference at the `frequency` (Hz) where it is largest, and `uncertainty`
    (dB) how far it may be off. `listener` says which seat and cabinet, where there are several;
    `main` marks the places at the main seat. `stays` (dB) is what is left of a difference in nearly
    all pairs of builds, at the frequency where most is; None where no builds are held against it.
    """

    place: str
    listener: str
    largest: float
    frequency: float
    uncertainty: float
    main: bool = False
    stays: float | None = None

    @property
    def counted(self) -> float:
        """What of it is heard: what builds leave of it, if any are held against it, dB."""
        return self.largest if self.stays is None else min(self.largest, self.stays)

    @property
    def is_audible(self) -> bool | None:
        """Whether it can be heard; None where that is too close to call."""
        if self.counted - self.uncertainty > NOTICED:
            return True
        return False if self.counted + self.uncertainty < NOTICED else None


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
    def is_audible(self) -> bool | None:
        """Whether some difference can be heard; None where that is too close to call."""
        return any_heard(self.differences)

    @property
    def heard_at_main(self) -> bool | None:
        """The same for the main seat; None also where no figure of it can be compared."""
        here = [each for each in self.differences if each.main]
        return any_heard(here) if here else None


def any_heard(differences: Sequence[Difference]) -> bool | None:
    """Whether one of them can be heard; None where that is too close to call."""
    heard = [each.is_audible for each in differences]
    return True if True in heard else None if None in heard else False


class Built(NamedTuple):
    """What is played in builds of every design, as `places.played` has it, and the band told.

    levels: of each design, of each place, dB, shape (build, row, frequency). band: the share of
    pairs of builds that lie within.
    """

    levels: Sequence[Sequence[np.ndarray]]
    band: float


def audible(
    predictions: Sequence[xr.Dataset],
    positions: Positions | None = None,
    built: Built | None = None,
) -> Audible | None:
    """Find the largest differences of smoothed levels on the axis, around it and at the seats.

    Every design has one volume control, see `places.played`. Held against builds, a difference is
    heard where it stays: where at some frequency the whole band of the differences between builds
    lies beyond what is noticed, on one side.

    Args:
        predictions: of two or more designs.
        positions: what `listening_positions.positions_of` gives for them; found here if left out.
        built: builds of the designs, those of like number having been drawn together.

    Returns:
        None where a prediction does not cover 300 Hz to 10 kHz. Places that not all designs have
        are left out.
    """
    positions = positions_of(predictions) if positions is None else positions
    if positions is None:
        return None
    levels = [played(each, positions, number) for number, each in enumerate(predictions)]
    differences = []
    for number, place in enumerate(positions.places):
        found = _difference(
            place, positions.grid(place.band), predictions, [each[number] for each in levels]
        )
        if built is not None:
            stays = _stays([each[number] for each in built.levels], built.band)
            found = replace(found, stays=stays)
        differences.append(found)
    means = [float(band_level(on_axis(each), each.frequency, BAND)) for each in predictions]
    return Audible(tuple(differences), float(np.ptp(means)))


def _difference(
    place: Place,
    grid: np.ndarray,
    predictions: Sequence[xr.Dataset],
    levels: Sequence[np.ndarray],
) -> Difference:
    """Where levels of the designs, dB, each (row, frequency), lie farthest apart."""
    each = np.array(levels)
    apart = np.ptp(each, axis=0)
    row, at = np.unravel_index(int(apart.argmax()), apart.shape)
    ends = np.argsort(each[:, row, at])[[0, -1]]
    doubt = sum(float(level_error(predictions[i], grid[at])) for i in ends)
    listener = ""
    if place.listeners:
        listener = place.listeners[row // (apart.shape[0] // len(place.listeners))]
    return Difference(
        place.words, listener, float(apart[row, at]), float(grid[at]), doubt, place.main
    )


def _stays(levels: Sequence[np.ndarray], band: float) -> float:
    """The largest difference beyond which the whole band of differences lies somewhere, dB."""
    return max(
        float(np.maximum(low, -high).max())
        for one, other in itertools.combinations(levels, 2)
        for low, high in [ends_of(one - other, band)]
    )
