"""Too little or too much fibre in an enclosure."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from acoustics.case.design.enclosure_model import Enclosure
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.changes import with_enclosure
from acoustics.studies.verification.fault.fault import Fault, Sizes
from acoustics.studies.verification.readings.readings import Readings

PACKED = 2.0
"""of the volume, so to say: twice as much fibre as fills it loosely"""

FILLED_Q = 5.0
"""Q of what fibre absorbs that fills all of a volume loosely, where the design says nothing of it
(common practice, no source)"""

LEAST = 0.3


def fill_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every enclosure.

    One path from an empty box to a packed one, through the design: what the fibre absorbs grows
    with how much of it there is, and the volume seems the larger for it until it is filled.
    """
    for number, enclosure in enumerate(design.case.enclosures):
        yield Fault(
            "fill",
            enclosure.name,
            partial(_changed, number, enclosure),
            partial(_words, enclosure),
            f"Open {enclosure.name} and compare how much fibre lies in it, and how loosely, with "
            "the drawing; wear a mask and gloves with mineral or glass fibre, and keep it away "
            "from the port and the driver's vents.",
            Sizes(0.0, PACKED, enclosure.fill, LEAST, False, ""),
        )


def _loss(design: Enclosure, share: float) -> float:
    """1/Q of absorption with another share of the volume filled."""
    own = 1 / design.absorption_q
    if share < design.fill:
        return own * share / design.fill
    return own + (share - design.fill) * max(own, 1 / FILLED_Q)


def _changed(number: int, design: Enclosure, built: Built, size: float) -> Built:
    def other(own: Enclosure) -> Enclosure:
        quality = own.absorption_q
        if size != design.fill:
            loss = 1 / quality + _loss(design, size) - 1 / design.absorption_q
            quality = 1 / loss if loss > 0 else math.inf
        return replace(own, fill=min(size, 1.0), absorption_q=quality)

    return with_enclosure(built, number, other)


def _words(design: Enclosure, size: float) -> str:
    told = f"{100 * size:.0f} %"
    own = f"{100 * design.fill:.0f} %"
    much = "more" if size > design.fill else "less"
    return (
        f"{design.name} holds {much} fibre than drawn: about {told} of what fills it loosely, not "
        f"{own}"
    )
