"""Figures by which a draft is judged, from bare arrays: the same for every state."""

from __future__ import annotations

from dataclasses import dataclass
from typing import get_args

import numpy as np

from acoustics.case.design.model import BAND, SMOOTHING
from acoustics.case.design.place_model import Quality
from acoustics.conventions import REFERENCE_PRESSURE
from acoustics.crossover.crossings import crossings
from acoustics.listening.bands import why_not_covered
from acoustics.listening.delay import mean_delay
from acoustics.listening.floor_dip import deepest_floor_dips
from acoustics.listening.height_window import between_heights
from acoustics.listening.interpolation import pressure_between
from acoustics.listening.levels import band_weights, in_decibels
from acoustics.listening.ripple import ripples
from acoustics.listening.span import TOLERANCE, ends_about
from acoustics.listening.standard_curves import LISTENING_WINDOW
from acoustics.listening.symmetry import sides_apart
from acoustics.listening.window_ripple import ripples_between

NAMES: tuple[str, ...] = (*get_args(Quality), "lobe low", "lobe high")
"""dB, the last two m above the floor"""


@dataclass(frozen=True)
class DraftSound:
    """What figures are told from; pressures are rms, Pa, complex; the first cabinet counts.

    window: (direction, frequency), in the directions of `LISTENING_WINDOW`. seat: at the ears of
    the main seat, (path, frequency), the direct way first; floor: which of its ways is the floor's,
    None without one; ways: from the reference point to the ears and to their image in the floor, m
    (NaN without one). lobes: direct sound at the main seat over `heights` (m above the floor),
    (height, frequency); lobe_ways: from the reference point to there, m, (height,). strength: of
    each driver by itself, any unit, drive: its filter × source, complex, any unit, both (driver,
    frequency). crossovers: where they hand over, as `handed_over` has it.
    """

    frequency: np.ndarray
    speed_of_sound: float
    window: np.ndarray
    seat: np.ndarray
    floor: int | None
    ways: tuple[float, float]
    ear_height: float
    heights: np.ndarray
    lobes: np.ndarray
    lobe_ways: np.ndarray
    strength: np.ndarray
    drive: np.ndarray
    crossovers: np.ndarray


def handed_over(frequency: np.ndarray, strength: np.ndarray) -> np.ndarray:
    """Where one driver hands over to the next, Hz, ascending, (crossover,)."""
    return np.array([each.frequency for each in crossings(frequency, strength)])


def draft_figures(sound: DraftSound) -> dict[str, float]:
    """All figures by their names, NaN where there is none.

    Those in dB are defined as in a search for a layout, over the usual band. "lobe low" and "lobe
    high" end the heights about the ears at which the direct sound stays within 3 dB of that at the
    ears at every crossover.
    """
    frequency = sound.frequency
    found = dict.fromkeys(NAMES, np.nan)
    power = np.abs(sound.window) ** 2
    if not why_not_covered(frequency, BAND, SMOOTHING):
        common, _, each = ripples_between(power, frequency)
        found |= {
            "ripple off axis": float(each.max()),
            "common ripple": float(common),
            "ripple on axis": float(ripples(in_decibels(power[0]), frequency)[0]),
            "sides": float(sides_apart(power, LISTENING_WINDOW, frequency)),
        }
    total = np.abs(sound.seat.sum(axis=0)) ** 2 / REFERENCE_PRESSURE**2
    found["seat level"] = float(in_decibels(band_weights(frequency, BAND) @ total))
    if sound.floor is not None:
        direct, added = sound.seat[0], sound.seat[sound.floor]
        dip = deepest_floor_dips(direct, added, frequency, sound.ways, sound.speed_of_sound)
        found["floor dip"] = float(dip)
    found["lobe low"], found["lobe high"] = lobe_span(sound)
    return found


def lobe_span(sound: DraftSound) -> tuple[float, float]:
    """The heights about the ears that no crossover keeps from within 3 dB, m; NaN for no crossover.

    As `listening.height_window`, for all crossovers together.
    """
    at = sound.crossovers
    if not at.size:
        return np.nan, np.nan
    late = mean_delay(sound.drive, sound.strength, sound.frequency, at)
    middle = np.stack(
        [
            pressure_between(
                sound.lobes, sound.frequency, one, sound.lobe_ways / sound.speed_of_sound + delay
            )
            for one, delay in zip(at, late, strict=True)
        ]
    )
    fine, along, at_ears = between_heights(sound.heights, middle, np.array([sound.ear_height]))
    low, high, _ = ends_about(fine, along, sound.ear_height, at_ears[:, 0], TOLERANCE)
    return float(low.max()), float(high.min())
