"""The microphone's part in what was measured: its phase too, where its table has none."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from acoustics.case.design.measurement_model import TableKind
from acoustics.curves import Curve, at_frequencies
from acoustics.curves.minimum_phase import minimum_phase
from acoustics.measurement.calibration import corrected

PER_OCTAVE = 48
LEAST = 32
"""Places at which a table's phase is told, at least."""


def with_phase(table: Curve) -> Curve:
    """A calibration with its phase: that of minimum phase where the table has none.

    A capsule and its amplifier are of minimum phase as far as they are used (common practice, no
    source). Left alone, the phase of a microphone that falls by 3 dB at 10 Hz is 27° out at 20 Hz.
    """
    if table.has_phase:
        return table
    low, high = float(table.frequency[0]), float(table.frequency[-1])
    count = max(LEAST, math.ceil(PER_OCTAVE * math.log2(high / low)))
    frequency = np.geomspace(low, high, count)
    frequency[[0, -1]] = low, high
    size = np.abs(at_frequencies(table, frequency)[0])
    values = size * np.exp(1j * minimum_phase(frequency, size))
    return replace(table, frequency=frequency, values=values, has_phase=True)


def part_of(
    calibration: Curve | None, table_of: TableKind, frequency: np.ndarray
) -> tuple[np.ndarray, tuple[str, ...]]:
    """What the microphone makes of a sound at frequencies (Hz), 1 where that is not known.

    Args:
        calibration: its table, with phase; None for a perfect one.
        table_of: whether the table states the response or what to add.
        frequency: Hz, ascending, shape (frequency,).

    Returns:
        Complex, (frequency,), and sentences about where it is not known.

    Raises:
        CurveError: the table holds none of the frequencies.
    """
    ones = np.ones(frequency.size, dtype=complex)
    if calibration is None:
        return ones, ()
    clean = corrected(Curve(frequency, ones, True, (), "the measurement"), calibration, table_of)
    return 1 / clean.values, clean.guesses
