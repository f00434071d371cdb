"""A driver whose cone or dome is heavier or lighter than stated."""

from __future__ import annotations

from collections.abc import Iterator

from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.fault import Fault
from acoustics.studies.verification.fault.signals import Parameter, parameter_faults
from acoustics.studies.verification.fault.words import said
from acoustics.studies.verification.readings.readings import Readings


def moving_mass_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every driver with small-signal parameters."""
    return parameter_faults(design, _MASS)


def _words(driver: str, size: float, design: float) -> str:
    return f"what moves of the {driver} is about {said(size, 'g')}, not {said(design, 'g')}"


_MASS = Parameter(
    "moving_mass",
    "moving mass of a driver",
    "kg",
    (0.6, 1.8),
    0.12,
    _words,
    lambda driver: (
        f"Read the type on the {driver}'s magnet, look for anything glued to or lying in its cone, "
        "and measure its impedance in free air without and with a known mass on the cone."
    ),
)
