"""A driver whose magnet is weaker or stronger than stated."""

from __future__ import annotations

from collections.abc import Iterator

from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.fault import Fault
from acoustics.studies.verification.fault.signals import Parameter, parameter_faults
from acoustics.studies.verification.fault.words import said
from acoustics.studies.verification.readings.readings import Readings


def force_factor_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every driver with small-signal parameters."""
    return parameter_faults(design, _FORCE)


def _words(driver: str, size: float, design: float) -> str:
    weak = "weak" if size < design else "strong"
    return (
        f"the magnet of the {driver} is too {weak}: a force factor of about {said(size, 'T m')}, "
        f"not {said(design, 'T m')}"
    )


_FORCE = Parameter(
    "force_factor",
    "magnet of a driver",
    "T m",
    (0.5, 1.3),
    0.1,
    _words,
    lambda driver: (
        f"Read the type on the {driver}'s magnet and measure its parameters in free air; compare "
        "it with the other cabinet's, and keep steel and fingers clear of the magnet."
    ),
)
