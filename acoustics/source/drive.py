"""The source of the product: what a driver and all that it moves send out per volt."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from acoustics.case.model import Case
from acoustics.source.motion import Motion


@dataclass(frozen=True)
class Drive:
    """What leaves the cabinet per volt at each driver.

    source: of all that the driver moves together, m³/s per V, complex (driver, frequency).
    shares: of that in each radiator, complex (radiator, driver, frequency); they add up to 1.
    """

    source: np.ndarray
    shares: np.ndarray


def drive_of(case: Case, motion: Motion, frequency: np.ndarray) -> Drive:
    """Volume velocities with polarity, and with the delay of cones behind their face.

    What leaks out is taken to leave where the driver sits.

    Args:
        case: the design.
        motion: of the same design.
        frequency: Hz, shape (frequency,).
    """
    late = -2j * np.pi * np.asarray(frequency, dtype=float) / case.air.speed_of_sound
    sent = motion.volume_velocity.copy()
    for number, driver in enumerate(case.drivers):
        sent[number, number] += motion.leak[number]
        sent[number] *= np.exp(late * driver.acoustic_depth)
    for number, driver in enumerate(case.drivers):
        sent[:, number] *= -1.0 if driver.inverted else 1.0
    source = sent.sum(axis=0)
    return Drive(source, sent / source)
