"""The source of the product: what a driver and all that it moves send out per volt."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import xarray as xr

from acoustics.case.design.model import Case
from acoustics.source.cone import mass_impedance, pressure_per_volt
from acoustics.source.load import radiation_load
from acoustics.source.motion import Motion, motion_of, total


@dataclass(frozen=True)
class Drive:
    """What leaves the cabinet per volt at each driver.

    source: of all that the driver moves together, m³/s per V, complex (driver, frequency).
    shares: of that in each radiator, complex (radiator, driver, frequency); they add up to 1.
    low_end: how the box and the resonance make a driver fall below what its motor, its mass and the
    air on this cabinet alone would give, complex (driver, frequency); 1 well above, and where
    parameters are not known.
    motion: what it follows from.
    """

    source: np.ndarray
    shares: np.ndarray
    low_end: np.ndarray
    motion: Motion


def drive_of(
    case: Case,
    frequency: np.ndarray,
    solve: Callable[..., xr.DataArray] | None = None,
    load: np.ndarray | None = None,
) -> Drive:
    """What leaves the cabinet per volt, with polarity and the delay of cones behind their face.

    What leaks out is taken to leave where the driver sits.

    Args:
        case: the design.
        frequency: Hz, ascending, shape (frequency,).
        solve: in place of `solve_field`, for the air load.
        load: the air load as `radiation_load` gives it, where it is known already: it rests on body
            and pistons alone. None: it is solved.

    Raises:
        GeometryError: something that cannot be where the case puts it.
    """
    if not any(driver.small_signal is not None for driver in case.drivers):
        load = None
    elif load is None:
        load = radiation_load(case, frequency, solve=solve)
    return driven(case, frequency, motion_of(case, frequency, load), load)


def driven(case: Case, frequency: np.ndarray, motion: Motion, load: np.ndarray | None) -> Drive:
    """As `drive_of`, from what moves and the air load with which it does, at the same frequencies.

    What moves does not know of polarity, so one motion serves drivers that are turned.
    """
    late = -2j * np.pi * frequency / case.air.speed_of_sound
    sent = motion.volume_velocity.copy()
    for number, driver in enumerate(case.drivers):
        sent[number, number] += motion.leak[number]
        sent[number] *= np.exp(late * driver.acoustic_depth)
        sent[:, number] *= -1.0 if driver.inverted else 1.0
    source = sent.sum(axis=0)
    return Drive(source, sent / source, _low_ends(case, frequency, motion, load), motion)


def _low_ends(
    case: Case, frequency: np.ndarray, motion: Motion, load: np.ndarray | None
) -> np.ndarray:
    """U·(jωM/S² + Z_r)/(Bl/(S Z_e)): what moves over what would without box and suspension."""
    answer = np.ones((len(case.drivers), frequency.size), dtype=complex)
    if load is None:
        return answer
    moved = total(motion)
    for number, driver in enumerate(case.drivers):
        if driver.small_signal is not None:
            free = mass_impedance(case, number, frequency, True) + load[number, number]
            answer[number] = moved[number] * free / pressure_per_volt(case, number, frequency)
    return answer
