"""More or less resistance in a driver's voice coil and its leads than stated."""

from __future__ import annotations

from collections.abc import Iterator

from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.fault import Fault
from acoustics.studies.verification.fault.signals import Parameter, parameter_faults
from acoustics.studies.verification.fault.words import SWITCHED_OFF, said
from acoustics.studies.verification.readings.readings import Readings


def voice_coil_resistance_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every driver with small-signal parameters."""
    return parameter_faults(design, _RESISTANCE)


def _words(driver: str, size: float, design: float) -> str:
    return (
        f"the voice coil of the {driver} has about {said(size, 'ohm')}, not {said(design, 'ohm')}"
    )


_RESISTANCE = Parameter(
    "dc_resistance",
    "voice coil of a driver",
    "ohm",
    (0.4, 2.2),
    0.1,
    _words,
    lambda driver: (
        f"{SWITCHED_OFF}take one lead off the {driver}, measure the resistance at its terminals, "
        "and read its type; if that is right, a joint or a plug in its leads is bad."
    ),
)
