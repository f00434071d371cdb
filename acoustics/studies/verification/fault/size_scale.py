"""The scale on which a fault's sizes are equally likely, and which sizes are faults at all."""

from __future__ import annotations

import math

from acoustics.studies.verification.fault.fault import Sizes

AWAY = (0.35, 1.0)
"""shares of the way from the design to either end at which a fault is looked at first"""


def on_scale(sizes: Sizes, size: float) -> float:
    """Where a size stands."""
    return math.log(size) if sizes.by_factor else size


def size_at(sizes: Sizes, place: float) -> float:
    """The other way round, within the ends."""
    size = math.exp(place) if sizes.by_factor else place
    return min(max(size, sizes.lowest), sizes.highest)


def faulty(sizes: Sizes) -> list[tuple[float, float]]:
    """Stretches of the scale, (from, to), that count as faults: below and above the design."""
    if sizes.by_factor:
        low, high = sizes.design / (1 + sizes.least), sizes.design * (1 + sizes.least)
    else:
        low, high = sizes.design - sizes.least, sizes.design + sizes.least
    found = []
    if sizes.lowest < low:
        found.append((on_scale(sizes, sizes.lowest), on_scale(sizes, low)))
    if sizes.highest > high:
        found.append((on_scale(sizes, high), on_scale(sizes, sizes.highest)))
    return found or [(on_scale(sizes, sizes.lowest), on_scale(sizes, sizes.highest))]


def first_places(sizes: Sizes) -> list[float]:
    """Places to look at before anything is known, ascending; the design is none of them."""
    middle = on_scale(sizes, sizes.design)
    ends = {on_scale(sizes, sizes.lowest), on_scale(sizes, sizes.highest)} - {middle}
    return sorted(middle + away * (end - middle) for end in ends for away in AWAY)
