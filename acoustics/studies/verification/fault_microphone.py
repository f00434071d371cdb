"""A microphone that stood elsewhere than stated: how far it may have, and the change itself."""

from __future__ import annotations

import math
from dataclasses import replace

from acoustics.studies.verification.built import Built
from acoustics.studies.verification.fault import Sizes
from acoustics.studies.verification.readings import Readings

LEAST = 0.05
"""m"""

FARTHEST = 0.5
"""m, or half the distance, if that is less"""

AHEAD = math.cos(math.pi / 4)
"""z over the distance of places that are ahead rather than aside"""


def stated_distance(readings: Readings) -> float | None:
    """How far ahead of the front the nearest microphone stood, m; None without any response.

    Of those that are ahead at all; else its distance from the middle of the front.
    """
    far = [(math.hypot(*each.place), each.place[2]) for each in readings.responses]
    ahead = [z for away, z in far if z >= AHEAD * away > 0]
    return min(ahead or [away for away, _ in far if away > 0], default=None)


def offset_sizes(readings: Readings) -> Sizes | None:
    """How far the microphone may have stood off one way; None where it cannot be told."""
    distance = stated_distance(readings)
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
