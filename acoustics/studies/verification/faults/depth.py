"""A driver whose sound starts farther back or farther out than the drawing's."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from acoustics.case.design.model import Driver
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.changes import moved, with_driver
from acoustics.studies.verification.fault.fault import Fault, Sizes
from acoustics.studies.verification.fault.words import said
from acoustics.studies.verification.readings.readings import Readings

FARTHER_OUT, FARTHER_IN = 0.010, 0.040
"""m"""

LEAST = 0.005
"""m"""


def depth_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every driver beside another: its acoustic centre, as a delay alone."""
    if len(design.case.drivers) < 2:
        return
    for number, driver in enumerate(design.case.drivers):
        own = driver.acoustic_depth
        yield Fault(
            "depth of a driver",
            driver.name,
            partial(_changed, number, own),
            partial(_words, driver),
            f"Look whether the {driver.name} is let into the front as drawn, or sits on it or "
            "behind it; if so, its acoustic depth was guessed wrong, so measure it against the "
            "other driver with the microphone where it is.",
            Sizes(own - FARTHER_OUT, own + FARTHER_IN, own, LEAST, False, "m"),
        )


def _changed(number: int, design: float, built: Built, size: float) -> Built:
    return with_driver(
        built,
        number,
        lambda own: replace(own, acoustic_depth=moved(own.acoustic_depth, design, size)),
    )


def _words(driver: Driver, size: float) -> str:
    way = "farther back" if size > driver.acoustic_depth else "farther out"
    own = driver.acoustic_depth
    return f"the sound of the {driver.name} starts {way}: about {_place(size)}, not {_place(own)}"


def _place(depth: float) -> str:
    return f"{said(abs(depth), 'mm')} {'in front of' if depth < 0 else 'behind'} its face"
