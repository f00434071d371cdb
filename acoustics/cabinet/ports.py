"""Ports and passive radiators on a volume of air: end corrections, tuning, length, added mass.

Lumped and without losses: the air in a port moves as one, that in the box is a spring.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from scipy.optimize import brentq

from acoustics.conventions import RoundoverError

FLUSH = 0.82167
"""End correction over radius of a duct that ends flush in a wall: the flanged limit of low
frequencies (Nomura, Yamamura & Inawashiro, J. Phys. Soc. Japan 15, 1960, 510, print 0.8217; Norris
& Sheng, J. Sound Vib. 135, 1989, 85: 0.8216; from memory)."""

FREE = 0.6127
"""Of one that ends freely: the integral of Levine & Schwinger, Phys. Rev. 73 (1948) 383, whose
printed value is 0.6133."""

END_CORRECTIONS = {"flush": FLUSH, "free": FREE}

FILL_GAIN = 0.25
"""By how much fibre that fills all of a volume loosely makes it seem larger: common practice; the
limit, where the air stays at one temperature, is 0.4 (Small, J. Audio Eng. Soc. 20, 1972, 798; from
memory)."""

LONGEST = 100.0
"""m: of a port, where a length is sought"""


class TuningError(RoundoverError):
    """A tuning beyond what can be had; `limit` (Hz) is the highest or the lowest that can."""

    def __init__(self, limit: float, *, highest: bool) -> None:
        self.limit = limit
        self.highest = highest
        super().__init__(f"the {'highest' if highest else 'lowest'} tuning is {limit:.4g} Hz")


def effective_length(length: float, area: float, ends: Sequence[str]) -> float:
    """Length (m) of a duct with what moves along at its ends, each `flush` or `free`.

    `area` in m²; a slot counts as a round duct of its area.
    """
    radius = math.sqrt(area / math.pi)
    return length + radius * sum(END_CORRECTIONS[end] for end in ends)


def air_volume(volume: float, fill: float) -> float:
    """Volume (m³) that acts where the share `fill` of it is loosely filled with fibre."""
    return volume * (1 + FILL_GAIN * fill)


def port_tuning(
    volume: float, areas: Sequence[float], lengths: Sequence[float], speed: float
) -> float:
    """Helmholtz resonance of ports on one volume, Hz: c/2π·√(Σ(S/l)/V).

    Args:
        volume: that acts, m³.
        areas: of the ports, m².
        lengths: of their air, m; see `effective_length`.
        speed: of sound, m/s.
    """
    conductivity = sum(area / length for area, length in zip(areas, lengths, strict=True))
    return speed / (2 * math.pi) * math.sqrt(conductivity / volume)


def port_length(
    frequency: float,
    volume: float,
    areas: Sequence[float],
    extras: Sequence[float],
    speed: float,
    *,
    conductivity: float = 0.0,
    taken: float = 0.0,
    shortest: float = 0.0,
) -> float:
    """The one length of some ports with which a volume is tuned to a frequency, m.

    Args:
        frequency: wanted, Hz.
        volume: that acts when the ports are as short as can be, m³.
        areas: of the ports, m².
        extras: by how much the air in each is longer than the port, m.
        speed: of sound, m/s.
        conductivity: Σ(S/l) of further ports, m.
        taken: what all these ports take of the volume per metre of their length, m².
        shortest: length, m.

    Raises:
        TuningError: no length gives that frequency.
    """
    area, extra = np.array(areas)[:, None], np.array(extras)[:, None]

    def tuning(lengths: np.ndarray | float) -> np.ndarray:
        total = conductivity + (area / (lengths + extra)).sum(axis=0)
        left = volume - taken * (lengths - shortest)
        answer: np.ndarray = speed / (2 * math.pi) * np.sqrt(total / left)
        return answer

    highest = float(tuning(shortest)[0])
    if frequency > highest:
        raise TuningError(highest, highest=True)
    # A longer port tunes lower until what it takes of the volume outweighs that.
    full = LONGEST if taken == 0 else min(LONGEST, shortest + 0.999 * volume / taken)
    lengths = shortest + (full - shortest) * np.linspace(0.0, 1.0, 2001)[1:] ** 3
    tunings = tuning(lengths)
    lower = np.flatnonzero(tunings <= frequency)
    if lower.size == 0:
        raise TuningError(float(tunings.min()), highest=False)
    bracket = (shortest, float(lengths[lower[0]]))
    return float(brentq(lambda length: tuning(length)[0] - frequency, *bracket, xtol=1e-12))


def radiator_tuning(
    stiffness: float,
    areas: Sequence[float],
    compliances: Sequence[float],
    masses: Sequence[float],
) -> float:
    """Resonance of passive radiators that share one volume and move in step, Hz.

    Of one: (2πf)² = (1/C + S²κ)/M (Small, J. Audio Eng. Soc. 22, 1974, 592; from memory); of
    several: ΣS²/((2πf)²M − 1/C) = 1/κ, the root above the resonances of all.

    Args:
        stiffness: κ = ρc²/V of the air, Pa/m³.
        areas: S of the radiators, m².
        compliances: C of their suspensions, m/N.
        masses: M that move, kg.
    """
    mass = np.array(masses)
    poles = 1 / (np.array(compliances) * mass)
    return math.sqrt(_beyond(np.array(areas) ** 2 / mass, poles, 1 / stiffness)) / (2 * math.pi)


def added_mass(
    frequency: float,
    stiffness: float,
    areas: Sequence[float],
    compliances: Sequence[float],
    masses: Sequence[float],
) -> float:
    """The mass to add to each passive radiator that tunes them to a frequency (Hz), kg.

    The other arguments are those of `radiator_tuning`.

    Raises:
        TuningError: they are tuned lower than that without any.
    """
    highest = radiator_tuning(stiffness, areas, compliances, masses)
    if frequency > highest:
        raise TuningError(highest, highest=True)
    squared = (2 * math.pi * frequency) ** 2
    poles = 1 / (np.array(compliances) * squared) - np.array(masses)
    return _beyond(np.array(areas) ** 2 / squared, poles, 1 / stiffness)


def _beyond(weights: np.ndarray, poles: np.ndarray, level: float) -> float:
    """Where Σ weight/(x − pole) has come down to `level`, beyond the last pole."""
    last = int(poles.argmax())
    # No nearer than the last pole alone would have it, no farther than all of them in its place.
    near, far = weights[last] / level, weights.sum() / level
    return float(poles[last]) + float(
        brentq(
            lambda way: (weights / (way + poles[last] - poles)).sum() - level,
            0.5 * near,
            2.0 * far,
            rtol=1e-13,
            xtol=1e-15 * far,
        )
    )
