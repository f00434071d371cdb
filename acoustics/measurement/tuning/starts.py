"""Where a fit starts: from the peaks of the impedance alone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from acoustics.measurement.tuning.circuit import Given, Kind
from acoustics.measurement.tuning.extremes import Extreme

MECHANICAL_QS = (4.0, 9.0, 2.0)
LEAKS = (0.1, 0.03)
"""1/Q_L"""

RISES = 0.05
"""natural logarithm by which sizes must rise again toward the lowest frequency to tell of a peak
that lies below it"""


@dataclass(frozen=True)
class Places:
    """Roughly where the peaks and the dip between them are, Hz; of a closed box the peak thrice.

    `height` is the size at the higher peak, `bottom` the smallest about them, ohm; `below` says
    that the lower peak lies under all that was measured.
    """

    lower: float
    dip: float
    upper: float
    height: float
    bottom: float
    below: bool = False


def places_of(
    kind: Kind, found: Sequence[Extreme], frequency: np.ndarray, size: np.ndarray
) -> Places | str:
    """Which of the peaks are those of the box; or why that cannot be told."""
    peaks = sorted(
        (each for each in found if each.kind == "peak"), key=lambda each: -each.prominence
    )
    if not peaks:
        return "there is no peak within the band"
    if kind == "closed":
        at = peaks[0].frequency
        near = (frequency > at / 4) & (frequency < 4 * at)
        return Places(at, at, at, peaks[0].size, float(size[near].min()))
    if len(peaks) == 1:
        return _one(peaks[0], frequency, size)
    lower, upper = sorted(peaks[:2], key=lambda each: each.frequency)
    between = (frequency >= lower.frequency) & (frequency <= upper.frequency)
    dip = float(frequency[between][size[between].argmin()])
    near = (frequency >= lower.frequency) & (frequency < 4 * upper.frequency)
    height = max(lower.size, upper.size)
    return Places(lower.frequency, dip, upper.frequency, height, float(size[near].min()))


def _one(peak: Extreme, frequency: np.ndarray, size: np.ndarray) -> Places | str:
    """Of an open box, one of whose peaks is in the band: the other may begin at its lower end."""
    under = frequency < peak.frequency
    at = int(size[under].argmin())
    ends = size[: max(2, np.count_nonzero(frequency < frequency[0] * 2**0.1))]
    if np.log(np.median(ends) / size[at]) < RISES or at < 2:
        return "only one of its two peaks is within the band"
    near = frequency < 4 * peak.frequency
    lower = min(0.9 * frequency[0], frequency[at] ** 2 / peak.frequency)
    return Places(
        float(lower),
        float(frequency[at]),
        peak.frequency,
        peak.size,
        float(size[near].min()),
        below=True,
    )


def starts_of(kind: Kind, places: Places, given: Given) -> Iterator[np.ndarray]:
    """Unknowns of `circuit_impedance` from which to start, one after the other.

    Of an open box without losses f_L² + f_H² = f_b² + (1 + α) f_s² and f_L f_H = f_s f_b (Thiele,
    J. Audio Eng. Soc. 19, 1971, 471; Small 1973; from memory), the latter with passive radiators
    f_L² f_H² = f_s² (f_b² + α f_p²); and |Z| is least at f_b.
    """
    bottom = 0.95 * places.bottom
    rise = max(places.height - bottom, 0.1 * bottom)
    for q in MECHANICAL_QS:
        coil = (0.02 * bottom, 0.05 * bottom)
        if kind == "closed":
            yield np.array([*np.log([places.upper, q, rise / q, bottom]), *coil])
            continue
        tuning, low, high = (each**2 for each in (places.dip, places.lower, places.upper))
        notch = 0.0 if kind == "vented" else tuning * given.notch**2
        own = (low * high - (low + high - tuning) * notch) / (tuning - notch)
        own = float(np.clip(own, 0.3 * low, high))
        ratio = max((low + high - tuning) / own - 1, 0.1)
        for leak in LEAKS:
            logs = np.log([np.sqrt(own), q, rise / q, bottom])
            yield np.array([*logs, *coil, *np.log([ratio, places.dip]), leak])
