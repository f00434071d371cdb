"""A microphone that stood elsewhere than stated: how far it may have, and the change itself."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from acoustics.case.geometry.shape import pistons_of
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.fault import Sizes
from acoustics.studies.verification.readings.readings import Readings

LEAST = 0.05
"""m"""

FARTHEST = 0.5
"""m, or half the distance, if that is less"""

AHEAD = 0.7
"""of its distance: a microphone that far in front of a driver's face is ahead of it, not aside"""


def stated_distance(design: Built, readings: Readings) -> float | None:
    """From the farthest microphone to the driver nearest to it, m; None without any response.

    As one states it: straight ahead, unless it stood aside. One that stood close to a cone was held
    where it is to be, and tells less of a tripod.
    """
    centres = np.array([piston.centre for piston in pistons_of(design.case)])
    return max((_distance(centres, each.place) for each in readings.responses), default=None)


def _distance(centres: np.ndarray, place: tuple[float, float, float]) -> float:
    ways = np.array(place) - centres
    nearest = ways[np.linalg.norm(ways, axis=1).argmin()]
    whole = float(np.linalg.norm(nearest))
    return float(nearest[2]) if nearest[2] > AHEAD * whole else whole


def offset_sizes(design: Built, readings: Readings) -> Sizes | None:
    """How far the microphone may have stood off one way; None where it cannot be told."""
    distance = stated_distance(design, readings)
    if distance is None:
        return None
    reach = min(FARTHEST, distance / 2)
    least = max(LEAST, 3 * readings.microphone)
    return Sizes(-reach, reach, 0.0, least, False, "m") if least < reach else None


def with_microphone(axis: int, built: Built, size: float) -> Built:
    """With the microphone moved along an axis: 0 right, 1 up, 2 away, m."""
    place = list(built.microphone)
    place[axis] += size
    right, up, away = place
    return replace(built, microphone=(right, up, away))
