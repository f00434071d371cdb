"""What was measured of a finished loudspeaker, in SI units."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

COVERED = 1.96
"""standard deviations within which 95 % of normal values lie"""


@dataclass(frozen=True, eq=False)
class ResponseReading:
    """One response that a microphone heard.

    Attributes:
        name: what it is called in words; distinct among all readings.
        source: the file.
        playing: numbers of the drivers that were connected.
        reversed: numbers of those that were connected the wrong way round on purpose.
        place: of the microphone as it is stated, (x, y, z), m.
        frequency: Hz, ascending, shape (frequency,).
        pressure: Pa per volt at the loudspeaker's input, exp(+jωt), complex, shape (frequency,);
            what was taken out of its delay is put back. Without phase its size alone.
        has_phase: whether the phase says anything.
        calibrated: whether the level is known but for what `Readings.level` allows.
        clock: readings of one clock share one delay; empty for a clock of its own.
        band: Hz, in which it can be trusted.
        uncertainty: of every level by itself, one standard deviation, dB; of the phase likewise
            in nepers and radians.
    """

    name: str
    source: str
    playing: tuple[int, ...]
    reversed: tuple[int, ...]
    place: tuple[float, float, float]
    frequency: np.ndarray
    pressure: np.ndarray
    has_phase: bool
    calibrated: bool
    clock: str
    band: tuple[float, float]
    uncertainty: float


@dataclass(frozen=True, eq=False)
class ImpedanceReading:
    """One impedance: at the loudspeaker's terminals, or at those of one driver in the cabinet.

    `driver` is its number, None for the loudspeaker's terminals; `impedance` in ohm, complex, its
    size alone without phase; `uncertainty` the standard deviation of every value as a share of it.
    The rest as in `ResponseReading`.
    """

    name: str
    source: str
    driver: int | None
    frequency: np.ndarray
    impedance: np.ndarray
    has_phase: bool
    band: tuple[float, float]
    uncertainty: float


@dataclass(frozen=True, eq=False)
class Readings:
    """All that was measured.

    `microphone` (m) is how far it may have stood off, each way, and `level` (dB) how far the
    calibration of levels may be off: 95 % lie within. `notes` tell what had to be guessed or was
    left aside, each a sentence.
    """

    responses: tuple[ResponseReading, ...]
    impedances: tuple[ImpedanceReading, ...]
    microphone: float
    level: float
    notes: tuple[str, ...] = ()
