"""The dip that appears when one side of a crossover is reversed: the deeper, the more in step.

A builder's check, done by measurement: with the upper driver reversed, drivers that are in phase
and equally loud cancel. At equal levels the dip is 20 dB deep when they are 11.5° apart, and 10 dB
when they are 37° apart.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import xarray as xr

from acoustics.listening.interpolation import vertex
from acoustics.listening.overlap import Pair, overlap_of, pair_of
from acoustics.listening.sides import sides

DEEP = 20.0
"""dB: a null this deep tells drivers that are in step (common practice, no source)"""

FAIR = 10.0
"""dB: a dip less deep than this is shallow (common practice, no source)"""

OPPOSED = 3.0
"""dB: drivers are in opposition where they dip by so much more as built than reversed"""

LEAST_DEPTH = 1.0
"""dB: a shallower dip has no place"""

SKIRT = 6.0
"""dB: where a dip is this deep its width is taken; outside the overlap none is (see `OVERLAP`)"""


@dataclass(frozen=True)
class Null:
    """The deepest dip of the reversed sum in the overlap.

    `frequency`, Hz, NaN where it is shallower than `LEAST_DEPTH`; `depth`, dB below the sum in
    phase; `change`, dB, by which the sum as built is louder there, which is what two measurements
    show; `asymmetry`, −1 to 1, of its widths to either side in octaves where it is `SKIRT` deep:
    positive where it reaches farther up, NaN where it is not that deep; `built_depth`, dB, of the
    deepest dip below the sum in phase as built.
    """

    frequency: float
    depth: float
    change: float
    asymmetry: float
    built_depth: float

    @property
    def verdict(self) -> str:
        """What it tells; see `verdict_on`."""
        return verdict_on(self.depth, self.built_depth)


VERDICTS = {
    "deep": "in step",
    "fair": "nearly in step",
    "shallow": "not in step",
    "opposed": "in opposite phase, and would add up with one of them reversed",
    "either way": "now in step, now in opposite phase, which a delay does and no polarity mends",
    "none": "not playing together",
}
"""Verdict → what the drivers are."""


def verdict_on(depth: float, built_depth: float) -> str:
    """Which of `VERDICTS` two dips (dB) ask for: with one side reversed, and as built."""
    if np.isnan(depth):
        return "none"
    # Of a phase that stays the same, one of the two is at most 3 dB.
    if min(depth, built_depth) >= SKIRT:
        return "either way"
    if built_depth > depth + OPPOSED:
        return "opposed"
    return "deep" if depth >= DEEP else "fair" if depth >= FAIR else "shallow"


def null_of(frequency: np.ndarray, lower: np.ndarray, upper: np.ndarray, crossover: float) -> Null:
    """The dip with the upper side reversed, from the pressures of both at one place.

    Args:
        frequency: Hz, ascending, shape (frequency,).
        lower: pressure of what plays below, complex, exp(+jωt), shape (frequency,), as built.
        upper: of what plays above, likewise; both from the same instant on.
        crossover: Hz, about where the one hands over to the other.
    """
    pair = pair_of(frequency, lower, upper)
    band = overlap_of(pair, crossover)
    if band is None:
        return Null(*[float("nan")] * 5)
    there = pair.at(np.array([_lowest(band)]))
    depth = float(there.below_in_phase(-1)[0])
    built = float(band.below_in_phase().max())
    change = depth - float(there.below_in_phase()[0])
    if depth < LEAST_DEPTH:
        return Null(float("nan"), depth, change, float("nan"), built)
    return Null(float(there.frequency[0]), depth, change, _asymmetry(band, there), built)


def _lowest(band: Pair) -> float:
    """Where the reversed sum lies deepest below that in phase, between the points too, Hz."""
    octaves = np.log2(band.frequency)
    most = np.abs(band.lower) + np.abs(band.upper)
    power = np.abs(band.lower - band.upper) ** 2 / np.maximum(most**2, np.finfo(float).tiny)
    at = int(np.argmin(power))
    # The points next to the overlap's ends are unevenly far from them.
    if 2 <= at < power.size - 2:
        near = slice(at - 1, at + 2)
        return float(2.0 ** vertex(octaves[near], power[near])[0])
    return float(band.frequency[at])


def _asymmetry(band: Pair, null: Pair) -> float:
    """How much farther a dip reaches up than down, relative to its width; see `Null`."""
    octaves, down = np.log2(band.frequency), band.below_in_phase(-1)
    at, depth = float(np.log2(null.frequency[0])), float(null.below_in_phase(-1)[0])
    if depth < SKIRT:
        return float("nan")
    ways = []
    for beyond in (octaves > at, octaves < at):
        x, y = octaves[beyond], down[beyond]
        order = np.argsort(np.abs(x - at))
        x, y = np.concatenate(([at], x[order])), np.concatenate(([depth], y[order]))
        out = np.flatnonzero(y < SKIRT)
        if out.size == 0:
            return float("nan")
        last = int(out[0])
        part = (y[last - 1] - SKIRT) / (y[last - 1] - y[last])
        ways.append(abs(x[last - 1] + part * (x[last] - x[last - 1]) - at))
    return float((ways[0] - ways[1]) / (ways[0] + ways[1]))


def reverse_null(prediction: xr.Dataset) -> xr.Dataset:
    """What reversing everything above each crossover does, on the axis and at the main seat.

    Args:
        prediction: as `predict` makes it.

    Returns:
        crossover_frequency (Hz), lower_driver, upper_driver over crossover. Over (crossover,
        place): null_frequency (Hz), null_depth, null_change (dB), null_shift (octaves from the
        crossover), null_asymmetry, built_depth (dB), see `Null`, NaN where drivers do not overlap;
        null_verdict, a key of `VERDICTS`. reversed_total (crossover, place, frequency), Pa,
        complex. The attribute `ear_height`, m, is the one at the main seat. Dims of length 0 where
        no two drivers cross.
    """
    heard = sides(prediction)
    shape = heard.crossover.size, heard.place.size
    corner = heard.crossover_frequency.values
    figures = np.full((6, *shape), np.nan)
    verdicts = np.full(shape, "none", dtype=f"<U{max(map(len, VERDICTS))}")
    for i, j in np.ndindex(*shape):
        null = null_of(
            heard.frequency.values,
            heard.lower_side.values[i, j],
            heard.upper_side.values[i, j],
            float(corner[i]),
        )
        figures[:, i, j] = (
            null.frequency,
            null.depth,
            null.change,
            np.log2(null.frequency / corner[i]),
            null.asymmetry,
            null.built_depth,
        )
        verdicts[i, j] = null.verdict
    named = (
        ("null_frequency", "Hz", "frequency of the dip with the upper side reversed"),
        ("null_depth", "dB", "depth of that dip below the sum in phase"),
        ("null_change", "dB", "sum as built above the reversed one, at the dip"),
        ("null_shift", "octave", "distance of the dip from the crossover"),
        ("null_asymmetry", "1", "how much farther the dip reaches up than down"),
        ("built_depth", "dB", "depth of the deepest dip below the sum in phase as built"),
    )
    dims = ("crossover", "place")
    turned = (heard.lower_side - heard.upper_side).assign_attrs(
        units="Pa", long_name="sound pressure with all drivers above the crossover reversed"
    )
    measures = {
        name: (dims, values, {"units": unit, "long_name": meaning})
        for (name, unit, meaning), values in zip(named, figures, strict=True)
    }
    return (
        heard.drop_vars(("lower_side", "upper_side"))
        .assign(measures)
        .assign(
            null_verdict=(dims, verdicts, {"long_name": "what the dip tells"}),
            reversed_total=turned,
        )
    )
