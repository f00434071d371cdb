"""The points of a sweep: every combination of its values, in a fixed order."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from acoustics.case.design.sweep_model import Sample, Sweep, SweptKey
from acoustics.case.text.written import with_unit

SAMPLE = "sample"
"""Name of the dimension that keys drawn together share."""

UNITS = {"": "1", "deg": "degree", "Pa s/m2": "Pa s m-2"}
"""Units of the case file as the data writes them, where that is otherwise."""


@dataclass(frozen=True)
class Space:
    """A design space; points are counted from 0, the last dimension running fastest.

    `drawn` are the values of the keys drawn together, shape (key, sample).
    """

    over: tuple[SweptKey, ...]
    drawn_keys: tuple[SweptKey, ...]
    drawn: np.ndarray

    @property
    def dims(self) -> tuple[str, ...]:
        """Names of the dimensions."""
        return (*(key.name for key in self.over), *((SAMPLE,) if self.drawn_keys else ()))

    @property
    def shape(self) -> tuple[int, ...]:
        """How many values every dimension has."""
        drawn = (self.drawn.shape[1],) if self.drawn_keys else ()
        return (*(len(key.values) for key in self.over), *drawn)

    @property
    def size(self) -> int:
        """How many points there are."""
        return math.prod(self.shape)

    def place(self, number: int) -> tuple[int, ...]:
        """Indices of a point along the dimensions."""
        return tuple(int(i) for i in np.unravel_index(number, self.shape))

    def number(self, place: tuple[int, ...]) -> int:
        """The point at these indices."""
        return int(np.ravel_multi_index(place, self.shape))

    def changes(self, number: int) -> dict[str, float | int | str]:
        """What a point changes in the case: path of a key → value as the file would have it."""
        place = self.place(number)
        values = [(key, key.values[i]) for key, i in zip(self.over, place, strict=False)]
        values += [
            (key, float(row[place[-1]]))
            for key, row in zip(self.drawn_keys, self.drawn, strict=True)
        ]
        return {
            path: with_unit(value, key.unit, key.whole)
            for key, value in values
            for path in key.keys
        }


def point_count(sweep: Sweep) -> int:
    """How many points a sweep has."""
    drawn = 1 if sweep.sample is None else sweep.sample.points
    return math.prod(len(key.values) for key in sweep.over) * drawn


def space_of(sweep: Sweep) -> Space:
    """Lay out the points of a sweep; draw its sample."""
    sample = sweep.sample
    if sample is None:
        return Space(sweep.over, (), np.empty((0, 1)))
    return Space(sweep.over, sample.over, draw(sample))


def draw(sample: Sample) -> np.ndarray:
    """Points of a scrambled Sobol sequence over the ranges of a sample's keys.

    Sobol, USSR Comput. Math. Math. Phys. 7, 1967, 86, scrambled after Owen, J. Complexity 14, 1998,
    466, as `scipy.stats.qmc` has it.

    Returns:
        Values in base units, shape (key, sample).
    """
    from scipy.stats import qmc

    sequence = qmc.Sobol(len(sample.over), scramble=True, seed=sample.seed)
    # Drawn in a power of two, or the library warns that the points are uneven; the first are taken.
    unit = sequence.random_base2(math.ceil(math.log2(sample.points)))[: sample.points]
    return np.array([_spread(key, each) for key, each in zip(sample.over, unit.T, strict=True)])


def _spread(key: SweptKey, unit: np.ndarray) -> np.ndarray:
    """Numbers from 0 to 1 over a key's range."""
    low, high = key.values
    values: np.ndarray = (
        low * (high / low) ** unit if key.logarithmic else low + (high - low) * unit
    )
    return np.rint(values) if key.whole else values
