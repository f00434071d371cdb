"""The microphone to the right or left of where it is stated to have been."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.fault import Fault
from acoustics.studies.verification.fault.microphone import offset_sizes, with_microphone
from acoustics.studies.verification.fault.words import said
from acoustics.studies.verification.readings.readings import Readings


def microphone_aside_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One, where a response was measured."""
    sizes = offset_sizes(design, readings)
    if sizes is not None:
        yield Fault(
            "microphone off the axis",
            "sideways",
            partial(with_microphone, 0),
            _words,
            "Stretch a string from the point of the front it should be level with, square to it, "
            "and measure again with the microphone's tip on it.",
            sizes,
            odds=1.5,
        )


def _words(size: float) -> str:
    way = "right" if size > 0 else "left"
    return (
        f"the microphone stood about {said(abs(size), 'mm')} to the {way} of where it is stated "
        "to have been, as one looks at the front, not there"
    )
