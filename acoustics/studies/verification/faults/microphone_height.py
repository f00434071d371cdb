"""The microphone higher or lower than it is stated to have been."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.fault import Fault
from acoustics.studies.verification.fault.microphone import offset_sizes, with_microphone
from acoustics.studies.verification.fault.words import said
from acoustics.studies.verification.readings.readings import Readings


def microphone_height_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One, where a response was measured."""
    sizes = offset_sizes(design, readings)
    if sizes is not None:
        yield Fault(
            "microphone off the axis",
            "in height",
            partial(with_microphone, 1),
            _words,
            "Measure the heights of the tweeter and of the microphone's tip above the floor, "
            "bring them to what is stated, and measure again.",
            sizes,
            odds=1.5,
        )


def _words(size: float) -> str:
    way = "higher" if size > 0 else "lower"
    return (
        f"the microphone stood about {said(abs(size), 'mm')} {way} than stated, not at that height"
    )
