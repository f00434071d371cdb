"""A curve at other frequencies than those of its table."""

from __future__ import annotations

import numpy as np

from acoustics.conventions import RoundoverError
from acoustics.curves.curve import Curve

SLACK = 1e-6
"""relative; a table printed with six digits still reaches its own ends"""

STEEPEST_FALL, STEEPEST_RISE = -24.0, 6.0
"""dB per octave away from the table, between which the last third octave's slope is held"""


def at_frequencies(
    curve: Curve, frequency: np.ndarray, beyond: bool = False
) -> tuple[np.ndarray, np.ndarray]:
    """The curve at other frequencies.

    Log magnitude and unwrapped phase are interpolated linearly over log frequency, so a table has
    to be so fine that the phase turns by less than 180° from row to row. Beyond the table the
    magnitude goes on with the slope of the last third octave, but falls away from it by at most
    24 dB per octave and rises by at most 6, and the phase stays: a fourth-order box falls and a
    coil rises as fast as that, and a steeper end of a table is a local matter (common practice,
    no source). The numbers there are guesses.

    Args:
        curve: the curve.
        frequency: Hz, above 0, shape (frequency,).
        beyond: whether frequencies outside the table are wanted too.

    Returns:
        Values, complex, and whether each frequency lies outside the table, both of the shape
        (frequency,).

    Raises:
        RoundoverError: a frequency lies outside the table, without `beyond`, or is not above 0.
    """
    frequency = np.atleast_1d(np.asarray(frequency, dtype=float))
    low, high = float(curve.frequency[0]), float(curve.frequency[-1])
    if not np.all(frequency > 0):
        raise RoundoverError(f"{curve.source}: asked for a frequency that is not above 0 Hz")
    outside = (frequency < low * (1 - SLACK)) | (frequency > high * (1 + SLACK))
    if outside.any() and not beyond:
        raise RoundoverError(
            f"{curve.source}: its table goes from {low:g} to {high:g} Hz, asked for was "
            f"{frequency.min():g} to {frequency.max():g} Hz; ask within the table, or measure "
            "further"
        )
    x, at = np.log2(curve.frequency), np.log2(frequency)
    size = 20 * np.log10(abs(curve.values))
    phase = np.unwrap(np.angle(curve.values))
    decibels = np.interp(at, x, size)
    decibels += np.where(at > x[-1], (at - x[-1]) * _slope(x, size), 0.0)
    decibels += np.where(at < x[0], (x[0] - at) * _slope(-x[::-1], size[::-1]), 0.0)
    return 10 ** (decibels / 20) * np.exp(1j * np.interp(at, x, phase)), outside


def _slope(x: np.ndarray, size: np.ndarray) -> float:
    """Slope at the end of a table by least squares, dB per octave, limited."""
    last = min(int(np.searchsorted(x, x[-1] - 1 / 3 - 1e-9)), x.size - 2)
    away = x[last:] - x[last:].mean()
    slope = float(away @ size[last:] / (away @ away))
    return min(max(slope, STEEPEST_FALL), STEEPEST_RISE)
