"""The microphone nearer or farther than it is stated to have been."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.changes import moved
from acoustics.studies.verification.fault.fault import Fault, Sizes
from acoustics.studies.verification.fault.microphone import stated_distance
from acoustics.studies.verification.fault.words import said
from acoustics.studies.verification.readings.readings import Readings

FARTHEST = 2.0
"""by this factor, either way"""

LEAST = 0.05


def microphone_distance_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One, where a response was measured: told by the place farthest away.

    Level, time of flight and the share of nearby edges all go with the distance; where the clocks
    are free, the first and the last of them alone can tell.
    """
    distance = stated_distance(design, readings)
    if distance is None:
        return
    least = max(LEAST, 3 * readings.microphone / distance)
    if 1 + least >= FARTHEST:
        return
    yield Fault(
        "microphone at another distance",
        "in distance",
        partial(_changed, distance),
        partial(_words, distance),
        "Measure from the front to the microphone's tip with a tape and state that distance.",
        Sizes(distance / FARTHEST, FARTHEST * distance, distance, least, True, "m"),
        odds=1.5,
    )


def _changed(distance: float, built: Built, size: float) -> Built:
    right, up, away = built.microphone
    return replace(built, microphone=(right, up, moved(away, 0.0, size - distance)))


def _words(distance: float, size: float) -> str:
    return f"the microphone stood about {said(size, 'm')} away, not {said(distance, 'm')}"
