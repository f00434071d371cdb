"""What a table cannot be, by its numbers: responses and impedances taken for something else."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from acoustics.case.checks.measured_checks import LIKELY
from acoustics.case.design.verification_model import TakenResponse
from acoustics.case.files.impedance_files import LEAST, MOST
from acoustics.conventions import DRIVE_VOLTAGE, REFERENCE_PRESSURE
from acoustics.curves import Curve, at_frequencies
from acoustics.curves.minimum_phase import minimum_phase
from acoustics.studies.verification.readings.tables import Table

LOAD = 40.0
"""Where nothing says what a table holds, medians below are ohm and above dB (common practice, no
source)."""

BACKWARD = -0.02
"""Least real part of an impedance over its size: less is no error of a measurement."""

PER_OCTAVE = 24
OPPOSITE = -0.6
"""Correlation of a phase with that of minimum phase from which on its sign is the other one."""

TURNS = math.radians(5.0)
"""rms of a phase that says something about its sign"""


def response_doubts(
    table: Table, pressure: Curve, taken: TakenResponse, band: tuple[float, float]
) -> Iterator[str]:
    """What shows that a table holds no sound pressures, each in words with a way out.

    Args:
        table: as read.
        pressure: Pa per volt.
        taken: how it was measured.
        band: Hz, in which it counts.
    """
    sizes = np.abs(pressure.values)[_inside(pressure, band)]
    level = 20 * math.log10(
        float(np.median(sizes)) * DRIVE_VOLTAGE * taken.distance / REFERENCE_PRESSURE
    )
    told = 20 * np.log10(np.abs(table.curve.values) / REFERENCE_PRESSURE)
    middle = float(np.median(told))
    if not table.says_unit and told.min() > 0 and middle < LOAD and _within_quarter(table.curve):
        yield (
            f"its second column is about {middle:.3g} and nothing says that it is in dB; if it "
            "holds ohm, give it as an impedance, and if it holds levels, write dB into the "
            "column's head or state unit"
        )
    elif taken.calibrated and not LIKELY[0] <= level <= LIKELY[1]:
        yield (
            f"half of its levels are above {level:.3g} dB at 1 m for {DRIVE_VOLTAGE:g} V, which is "
            "no loudspeaker's; check unit, voltage and distance, or write calibrated = false if "
            "only its shape counts"
        )


def impedance_doubts(table: Table, band: tuple[float, float]) -> Iterator[str]:
    """What shows that a table holds no impedances, each in words with a way out."""
    curve = table.curve
    inside = _inside(curve, band)
    sizes, frequency = np.abs(curve.values), curve.frequency
    middle = float(np.median(sizes[inside]))
    if not LEAST <= middle <= MOST or (not table.says_unit and sizes.min() > LOAD):
        yield (
            f"its impedances are about {middle:.3g} ohm, which is no loudspeaker's; if it holds "
            "levels, give it as a response, else check the unit: write ohm, or dB re 1 ohm with dB "
            "in the column's head"
        )
        return
    if not curve.has_phase:
        return
    giving = inside & (curve.values.real < BACKWARD * sizes)
    if giving.any():
        where = int(np.argmax(giving))
        yield (
            f"at {frequency[where]:g} Hz its phase is "
            f"{np.degrees(np.angle(curve.values[where])):.0f} degrees, which no loudspeaker has; "
            "check the columns: frequency, ohm, degrees between -90 and 90, and the leads of the "
            "measuring channel"
        )
    elif _sign_is_opposite(curve):
        yield (
            "its phase has the other sign: where ohms rise with frequency it has to be positive, "
            "as a coil's; turn the sign of the column round"
        )


def _inside(curve: Curve, band: tuple[float, float]) -> np.ndarray:
    answer: np.ndarray = (curve.frequency >= band[0]) & (curve.frequency <= band[1])
    return answer


def _within_quarter(curve: Curve) -> bool:
    """Whether no phase is beyond 90 degrees, or there is none."""
    return not curve.has_phase or bool(np.all(curve.values.real > 0))


def _sign_is_opposite(curve: Curve) -> bool:
    """An impedance is of minimum phase (Bode 1945, from memory), so its size tells its phase."""
    low, high = float(curve.frequency[0]), float(curve.frequency[-1])
    count = math.ceil(PER_OCTAVE * math.log2(high / low)) + 1
    if count < PER_OCTAVE:
        return False
    frequency = np.geomspace(low, high, count)
    frequency[[0, -1]] = low, high
    values = at_frequencies(curve, frequency)[0]
    expected = minimum_phase(frequency, np.abs(values))
    pair = np.array([np.angle(values), expected])
    pair -= pair.mean(axis=1, keepdims=True)
    rms = np.sqrt(np.mean(pair**2, axis=1))
    return bool(rms.min() > TURNS and np.mean(pair[0] * pair[1]) < OPPOSITE * rms.prod())
