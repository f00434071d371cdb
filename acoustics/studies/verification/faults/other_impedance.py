"""A driver of another impedance than the drawing's: 4 ohm in place of 8 ohm, say."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from acoustics.case.design.model import Driver
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.changes import scaled, with_driver
from acoustics.studies.verification.fault.fault import Fault, Sizes
from acoustics.studies.verification.fault.words import SWITCHED_OFF, said
from acoustics.studies.verification.faults.voice_coil_inductance import scaled_coil
from acoustics.studies.verification.readings.readings import Readings

FACTORS = (0.4, 2.2)
LEAST = 0.25


def other_impedance_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every driver whose impedance follows from something.

    The same copper in the same gap with other turns: all of its impedance goes with their number
    squared, the force factor with the number, and nothing that moves is changed.
    """
    for number, driver in enumerate(design.case.drivers):
        own = _resistance(driver)
        if own is None:
            continue
        yield Fault(
            "driver of another impedance",
            driver.name,
            partial(_changed, number, driver, own),
            partial(_words, driver, own),
            f"{SWITCHED_OFF}read the type and the impedance on the {driver.name}, and measure the "
            f"resistance at its terminals with one lead off: about {said(own, 'ohm')} is meant.",
            Sizes(FACTORS[0] * own, FACTORS[1] * own, own, LEAST, True, "ohm"),
        )


def _resistance(driver: Driver) -> float | None:
    signal = driver.small_signal
    return driver.rated_impedance if signal is None else signal.dc_resistance


def _changed(number: int, design: Driver, own: float, built: Built, size: float) -> Built:
    factor = size / own

    def other(driver: Driver) -> Driver:
        rated, signal = driver.rated_impedance, driver.small_signal
        if signal is None:
            return replace(driver, rated_impedance=None if rated is None else factor * rated)
        return replace(
            driver,
            voice_coil=scaled_coil(driver.voice_coil, factor),
            small_signal=replace(
                signal,
                dc_resistance=scaled(signal.dc_resistance, own, size),
                force_factor=signal.force_factor * math.sqrt(factor),
            ),
        )

    return with_driver(built, number, other)


def _words(driver: Driver, own: float, size: float) -> str:
    words = f"the {driver.name} is one of another impedance: about {said(size, 'ohm')}"
    if driver.small_signal is not None:
        words = f"{words} of voice coil"
    return f"{words}, not {said(own, 'ohm')}"
