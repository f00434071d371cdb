"""Whether the microphone's table was taken out of a curve, left in it, or put in twice."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from acoustics.curves import Curve, at_frequencies
from acoustics.measurement.calibration import TableOf
from acoustics.measurement.findings import Finding

PER_OCTAVE = 24
"""Places at which table and curve are held against each other."""

FLAT = 0.3
"""dB rms: of a table that varies by less nothing can be told."""

ALIKE = 0.6
"""Correlation from which on the differences of several drivers have the shape of the table."""

ONE_ALIKE = 0.85
"""Likewise of a single driver's, which may have that shape by chance."""

SHORTEST = 2.0
"""Octaves that table and curve must share."""

HALF = 0.5


@dataclass(frozen=True)
class TableLeft:
    """How much of the table is in a curve.

    `share`: of the microphone's response as the table is taken to state it: 0 where it was taken
    out, 1 where it was left in, −1 where it was taken out though it was not in, −2 where the table
    states the opposite, 2 where somebody put it in once more. `correlation`: of the difference with
    it, −1 to 1.
    `rms`: of the table about its trend, dB.
    """

    share: float
    correlation: float
    rms: float


def table_left(
    frequency: np.ndarray,
    differences: Mapping[str, np.ndarray],
    calibration: Curve,
    table_of: TableOf = "response",
) -> TableLeft | None:
    """How much of a microphone's response is left in differences of levels, those of all together.

    Both are freed of their mean and tilt over the octaves they share, because drivers and
    predictions differ in these anyway; the share is the slope of one over the other.

    Args:
        frequency: Hz, ascending, shape (frequency,).
        differences: by driver, level as corrected over what it should be, dB, (frequency,); not a
            number where one of them is unknown.
        calibration: the table.
        table_of: as it was applied.

    Returns:
        None where they share less than two octaves, or the table is flat there.
    """
    pairs = [
        pair
        for each in differences.values()
        if (pair := _shapes(frequency, each, calibration, table_of)) is not None
    ]
    if not pairs:
        return None
    off, table = np.concatenate(pairs, axis=1)
    rms = float(np.sqrt(np.mean(table**2)))
    size = float(np.sqrt(np.mean(off**2)))
    if rms < FLAT or size == 0:
        return None
    mixed = float(np.mean(off * table))
    return TableLeft(mixed / rms**2, mixed / (rms * size), rms)


def calibration_wrong(
    frequency: np.ndarray,
    differences: Mapping[str, np.ndarray],
    calibration: Curve,
    table_of: TableOf = "response",
) -> Finding | None:
    """Whether corrected curves differ from what they should be by the microphone's own response.

    A driver may differ from its prediction by anything, so the differences must have the table's
    shape; where several drivers show it, it is the microphone.

    Args:
        frequency: Hz, ascending, shape (frequency,).
        differences: as for `table_left`.
        calibration: the table.
        table_of: as it was applied.
    """
    left = table_left(frequency, differences, calibration, table_of)
    least = ALIKE if len(differences) > 1 else ONE_ALIKE
    if left is None or abs(left.correlation) < least or abs(left.share) < HALF:
        return None
    if abs(left.share) > 2 + HALF:  # no mistake with this table leaves so much
        return None
    said, advice = _words(left.share)
    share = f"{left.share:.1f}".replace("-", "−")
    return Finding(
        what=f"{said}: what differs from the prediction is {share} times its table",
        where=", ".join(differences),
        certain=len(differences) > 1 and abs(left.correlation) > ONE_ALIKE,
        advice=advice,
    )


def _shapes(
    frequency: np.ndarray, difference: np.ndarray, calibration: Curve, table_of: TableOf
) -> np.ndarray | None:
    """Difference and table over the octaves they share, dB, (2, place)."""
    known = np.isfinite(difference)
    if np.count_nonzero(known) < 2:
        return None
    low = max(float(calibration.frequency[0]), float(frequency[known].min()))
    high = min(float(calibration.frequency[-1]), float(frequency[known].max()))
    if high < low * 2**SHORTEST:
        return None
    places = np.geomspace(low, high, int(PER_OCTAVE * math.log2(high / low)))
    x = np.log(places)
    off = np.interp(x, np.log(frequency[known]), difference[known])
    values, _ = at_frequencies(calibration, places, beyond=True)
    table = 20 * np.log10(np.abs(values)) * (1.0 if table_of == "response" else -1.0)
    return np.array([_without_tilt(x, off), _without_tilt(x, table)])


def _words(share: float) -> tuple[str, str]:
    if abs(share) > 1 + HALF:
        return (
            "The microphone's correction seems to have the wrong sign",
            "Look what the table states: the response, as most do, or what to add to the curve.",
        )
    if share > 0:
        return (
            "The microphone's response seems to be in the curves still",
            "Name its table, or look whether it is this microphone's.",
        )
    return (
        "The microphone's response seems to have been taken out twice",
        "Leave the table out if the recorder took it into account already.",
    )


def _without_tilt(x: np.ndarray, values: np.ndarray) -> np.ndarray:
    answer: np.ndarray = values - np.polyval(np.polyfit(x, values, 1), x)
    return answer
