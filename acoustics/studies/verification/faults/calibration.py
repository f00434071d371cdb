"""All levels read too high or too low."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.changes import moved
from acoustics.studies.verification.fault.fault import Fault, Sizes
from acoustics.studies.verification.fault.words import decibels
from acoustics.studies.verification.readings.readings import Readings

FARTHEST = 20.0
"""dB, either way"""

LEAST = 1.0
"""dB"""


def calibration_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One, where a level was calibrated; beyond three standard deviations of the calibration."""
    least = max(LEAST, 1.5 * readings.level)
    if least >= FARTHEST or not any(each.calibrated for each in readings.responses):
        return
    yield Fault(
        "levels read wrong",
        "all responses",
        _changed,
        _words,
        "Measure the voltage at the loudspeaker's terminals during the sweep, the microphone's "
        "sensitivity with a calibrator, and whether any gain was turned between them; keep the "
        "sweep short and no louder than needed.",
        Sizes(-FARTHEST, FARTHEST, 0.0, least, False, "dB"),
        odds=1.5,
    )


def _changed(built: Built, size: float) -> Built:
    return replace(built, gain=moved(built.gain, 0.0, size))


def _words(size: float) -> str:
    high = "high" if size > 0 else "low"
    return f"all levels are read about {decibels(size)} too {high}, not as calibrated"
