"""Which standing waves fall into the band that a driver plays."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from acoustics.case.design.model import Case
from acoustics.case.design.section_model import PassFilter

Band = tuple[float, float]
"""Lower and upper corner, Hz; 0 and infinity where there is none."""


@dataclass(frozen=True)
class WavesInBand:
    """Standing waves beside the band of one driver.

    Args:
        driver: its name.
        band: its corners, Hz.
        inside: whether each standing wave lies between them, shape (mode,).
        octaves: how far each lies outside the band, 0 within, shape (mode,).
    """

    driver: str
    band: Band
    inside: np.ndarray
    octaves: np.ndarray


def corner_bands(case: Case) -> dict[str, Band]:
    """Between which corners the sections of the crossover let each driver play.

    A driver on a passive crossover, or without a branch, has none: where it hands over is known
    from the prediction alone.
    """
    bands = {}
    for branch in case.crossover:
        passes = [one for one in branch.sections if isinstance(one, PassFilter)]
        if branch.slopes != "passive":
            low = max((one.low_corner for one in passes if one.low_corner), default=0.0)
            high = min((one.high_corner for one in passes if one.high_corner), default=math.inf)
            bands[branch.driver] = (low, high)
    return bands


def waves_in_bands(frequency: np.ndarray, bands: Mapping[str, Band]) -> tuple[WavesInBand, ...]:
    """Which standing waves fall into which band.

    Args:
        frequency: of the waves, Hz, shape (mode,).
        bands: of drivers by name, see `corner_bands`.
    """
    rows = []
    for driver, (low, high) in bands.items():
        below = np.log2(np.maximum(low / frequency, 1.0))
        above = np.log2(np.maximum(frequency / high, 1.0))
        octaves = below + above
        rows.append(WavesInBand(driver, (low, high), octaves == 0, octaves))
    return tuple(rows)
