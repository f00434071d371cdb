"""A driver whose suspension is stiffer or softer than stated."""

from __future__ import annotations

from collections.abc import Iterator

from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.fault import Fault
from acoustics.studies.verification.fault.signals import Parameter, parameter_faults
from acoustics.studies.verification.fault.words import said
from acoustics.studies.verification.readings.readings import Readings


def suspension_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every driver with small-signal parameters."""
    return parameter_faults(design, _COMPLIANCE)


def _words(driver: str, size: float, design: float) -> str:
    stiffer = "stiffer" if size < design else "softer"
    return (
        f"the suspension of the {driver} is {stiffer}: about {said(size, 'mm/N')}, not "
        f"{said(design, 'mm/N')}"
    )


# Makers' figures stray by a fifth from one to the next, and suspensions soften in the first hours
# (common practice, no source).
_COMPLIANCE = Parameter(
    "compliance",
    "suspension of a driver",
    "m/N",
    (0.4, 2.5),
    0.3,
    _words,
    lambda driver: (
        f"Measure the impedance of the {driver} in free air, after it has played for some hours, "
        "and put its own parameters in place of the data sheet's."
    ),
    odds=1.5,
)
