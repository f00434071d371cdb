"""Peaks and dips of the size of an impedance, as one reads them, between the points."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np
from scipy.signal import find_peaks

from acoustics.measurement.tuning.figures import Figure, untold

SMOOTHED = 1 / 8
"""octave, full width of the window over which sizes are averaged to look for peaks"""

LEAST = 0.04
"""natural logarithm by which a peak must stand out, if noise does not ask for more"""

TIMES_NOISE = 4.0
"""standard deviations of a smoothed size by which it must stand out"""

READ = 1 / 6
"""octave each way that a cubic is laid through to read a place"""

FEWEST = 6
"""points of a cubic"""


@dataclass(frozen=True)
class Extreme:
    """A peak or dip of ln|Z|: Hz where it is highest or lowest when smoothed, and its size, ohm.

    `prominence` is by how much it stands out, natural logarithm.
    """

    kind: Literal["peak", "dip"]
    frequency: float
    size: float
    prominence: float


def extremes_of(
    frequency: np.ndarray, size: np.ndarray, uncertainty: np.ndarray
) -> tuple[Extreme, ...]:
    """Peaks and the dips between them, ascending.

    Args:
        frequency: Hz, ascending, shape (frequency,).
        size: |Z|, ohm, likewise.
        uncertainty: of it, as a share, likewise.
    """
    octaves = np.log2(frequency)
    low = np.searchsorted(octaves, octaves - SMOOTHED / 2, side="left")
    high = np.searchsorted(octaves, octaves + SMOOTHED / 2, side="right")
    sums = np.concatenate([[0.0], np.cumsum(np.log(size))])
    count = high - low
    smooth = (sums[high] - sums[low]) / count
    noise = float(np.median(uncertainty / np.sqrt(count)))
    least = max(LEAST, TIMES_NOISE * noise * np.sqrt(2))
    peaks, told = find_peaks(smooth, prominence=least)
    found = [
        Extreme("peak", float(frequency[n]), float(np.exp(smooth[n])), float(p))
        for n, p in zip(peaks, told["prominences"], strict=True)
    ]
    for first, second in pairwise(peaks):
        n = first + int(smooth[first : second + 1].argmin())
        depth = min(smooth[first], smooth[second]) - smooth[n]
        found.append(Extreme("dip", float(frequency[n]), float(np.exp(smooth[n])), float(depth)))
    return tuple(sorted(found, key=lambda each: each.frequency))


def read_place(
    frequency: np.ndarray, size: np.ndarray, uncertainty: np.ndarray, near: float
) -> Figure:
    """Where ln|Z| is highest or lowest near a frequency, from a cubic through points, Hz."""
    apart = np.log(frequency / near)
    used = np.abs(apart) <= READ * np.log(2)
    if np.count_nonzero(used) < FEWEST:
        return untold("too few points near it")
    scale = READ * np.log(2)
    basis = np.vander(apart[used] / scale, 4, increasing=True)
    weighted = basis / uncertainty[used, None]
    inverse = np.linalg.inv(weighted.T @ weighted)
    value = inverse @ weighted.T @ (np.log(size[used]) / uncertainty[used])
    places = np.roots(np.polynomial.Polynomial(value).deriv().coef[::-1])
    real = places[np.abs(places.imag) < 1e-9].real
    if not real.size or np.abs(real).min() > 1:
        return untold("no peak or dip can be read there")
    at = float(real[np.abs(real).argmin()])
    bend = 2 * value[2] + 6 * value[3] * at
    slope = np.array([0.0, 1.0, 2 * at, 3 * at**2]) / bend
    spread = float(np.sqrt(slope @ inverse @ slope))
    place = float(near * np.exp(at * scale))
    return Figure(place, float(place * scale * spread))
