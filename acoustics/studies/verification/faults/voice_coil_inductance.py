"""A driver whose voice coil has more or less inductance than stated."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from acoustics.driver import VoiceCoil
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.changes import with_driver
from acoustics.studies.verification.fault.fault import Fault, Sizes
from acoustics.studies.verification.fault.words import said
from acoustics.studies.verification.readings.readings import Readings

FARTHEST = 3.0
"""by this factor, either way"""

LEAST = 0.25


def voice_coil_inductance_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every driver whose voice coil has some: all that it is made of by one factor."""
    for number, driver in enumerate(design.case.drivers):
        own, unit = _lead(driver.voice_coil)
        if driver.small_signal is None or own == 0:
            continue
        yield Fault(
            "inductance of a voice coil",
            driver.name,
            partial(_changed, number, own),
            partial(_words, driver.name, own, unit),
            f"Measure the impedance of the {driver.name} by itself up to 20 kHz and put it in "
            "place of the data sheet's figures.",
            Sizes(own / FARTHEST, FARTHEST * own, own, LEAST, True, _SI[unit]),
        )


_SI = {"mH": "H", "sH": "ohm·sⁿ"}


def _lead(coil: VoiceCoil) -> tuple[float, str]:
    """The value that stands for the coil, and the unit it is told in; 0 for none."""
    if coil.inductance:
        return coil.inductance, "mH"
    if coil.parallel_inductance:
        return coil.parallel_inductance, "mH"
    return coil.semi_inductance or 0.0, "sH"


def scaled_coil(coil: VoiceCoil, factor: float) -> VoiceCoil:
    """A voice coil all of whose impedance is so many times as large."""
    beside = (coil.parallel_inductance, coil.parallel_resistance, coil.semi_inductance)
    lying, damping, semi = (None if value is None else factor * value for value in beside)
    return replace(
        coil,
        inductance=factor * coil.inductance,
        parallel_inductance=lying,
        parallel_resistance=damping,
        semi_inductance=semi,
    )


def _changed(number: int, design: float, built: Built, size: float) -> Built:
    factor = size / design
    return with_driver(
        built, number, lambda own: replace(own, voice_coil=scaled_coil(own.voice_coil, factor))
    )


def _words(name: str, design: float, unit: str, size: float) -> str:
    return (
        f"the voice coil of the {name} has about {said(size, unit)} of inductance, not "
        f"{said(design, unit)}"
    )
