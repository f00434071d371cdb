"""Drivers of one enclosure played together: what then moves, and what the amplifier sees."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from acoustics.case.design.model import Case
from acoustics.source.cone import terminal_impedance
from acoustics.source.motion import Motion


def together(case: Case, motion: Motion, drivers: Sequence[int], frequency: np.ndarray) -> Motion:
    """Play some drivers side by side at the same voltage, each with its own polarity.

    Args:
        case: the design.
        motion: of the same design.
        drivers: their numbers.
        frequency: Hz, shape (frequency,).

    Returns:
        The motion, whose columns of those drivers are now what moves when all of them play, and
        whose impedances are what each of them draws then. With one driver nothing changes but the
        sign of one that is inverted.
    """
    chosen = list(drivers)
    sign = np.array([-1.0 if case.drivers[n].inverted else 1.0 for n in chosen])
    velocity, leak, impedance = (
        array.copy() for array in (motion.volume_velocity, motion.leak, motion.impedance)
    )
    velocity[:, chosen] = np.einsum("rdf,d->rf", velocity[:, chosen], sign)[:, None]
    leak[chosen] = np.einsum("df,d->f", leak[chosen], sign)
    for number, way in zip(chosen, sign, strict=True):
        own = way * velocity[number, number]
        impedance[number] = terminal_impedance(case, number, frequency, own)
    return replace(motion, volume_velocity=velocity, leak=leak, impedance=impedance)
