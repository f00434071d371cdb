"""Harmonics of one driver: from afar where the gate tells them, from close by below."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from acoustics.case.design.measurement_model import TableKind
from acoustics.curves import Curve
from acoustics.measurement.harmonics import Distortion
from acoustics.studies.measure.far import PERIODS, Far
from acoustics.studies.measure.low import Low
from acoustics.studies.measure.microphone import part_of

EVERY = 4
"""Harmonics are told at every fourth of a measurement's frequencies: a twelfth of an octave."""


@dataclass(frozen=True, eq=False)
class Harmonics:
    """Levels of harmonics over the fundamental, dB, shape (order, frequency); NaN where not told.

    `noise` is that of the noise, likewise; `near` says where the recording close to the cone told
    them, shape (frequency,).
    """

    orders: tuple[int, ...]
    level: np.ndarray
    noise: np.ndarray
    near: np.ndarray


def harmonics_of(
    far: Far, low: Low | None, calibration: Curve | None, table_of: TableKind
) -> Harmonics | None:
    """The harmonics at the frequencies of the far field; None of impulse responses.

    A far recording holds reflections, so its harmonics are cut as short as its gate and told from
    where two and a half periods fit it; below, the recording close to the cone tells them, if there
    is one.
    What the microphone makes of a harmonic, and of the fundamental, is taken out, of the noise in
    it too.
    """
    frequency = far.frequency
    some = np.arange(frequency.size) % EVERY == 0
    band = far.heard.band
    above = (
        some
        & (frequency >= max(PERIODS * far.gate.lowest_frequency, band[0]))
        & (frequency <= band[1])
    )
    told = far.heard.harmonics(frequency[above], far.gate.length) if above.any() else None
    if told is None:
        return None
    orders = told.orders
    level = np.full((len(orders), frequency.size), np.nan)
    noise = np.full_like(level, np.nan)
    near = np.zeros(frequency.size, dtype=bool)
    _put(told, above, level, noise)
    if low is not None and low.band is not None:
        below = (
            some
            & (frequency >= max(low.band[0], low.heard.band[0]))
            & (frequency <= low.band[1])
            & (frequency < frequency[above][0])
        )
        close = low.heard.harmonics(frequency[below], None) if below.any() else None
        if close is not None:
            _put(close, below, level, noise)
            near |= below
    microphone = np.abs(part_of(calibration, table_of, frequency)[0])
    for row, order in enumerate(orders):
        at_own = np.abs(_beyond(calibration, table_of, order * frequency))
        for each in (level, noise):
            each[row] -= 20 * np.log10(at_own / microphone)
    return Harmonics(orders, level, noise, near)


def _beyond(calibration: Curve | None, table_of: TableKind, frequency: np.ndarray) -> np.ndarray:
    """The microphone's part at frequencies that its table may not hold at all."""
    if calibration is not None and frequency[0] > calibration.frequency[-1]:
        return np.ones(frequency.size)
    return part_of(calibration, table_of, frequency)[0]


def _put(told: Distortion, where: np.ndarray, level: np.ndarray, noise: np.ndarray) -> None:
    level[:, where] = told.level
    if told.noise is not None:
        noise[:, where] = 20 * np.log10(told.noise / np.abs(told.fundamental))
