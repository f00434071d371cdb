"""A cabinet that is not tight."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from acoustics.case.source_model import Enclosure
from acoustics.studies.verification.built import Built
from acoustics.studies.verification.fault import Fault, Sizes
from acoustics.studies.verification.fault_changes import scaled, with_enclosure
from acoustics.studies.verification.readings import Readings

LOWEST = 0.5
"""Q of a hole that one sees"""

TIGHTEST = 100.0
"""Q of a cabinet in which no leak was reckoned with, for its sizes to begin at"""

LEAST = 0.6
"""Leaks stray from one good cabinet to the next by about half (common practice, no source)."""


def leak_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every enclosure."""
    for number, enclosure in enumerate(design.case.enclosures):
        own = min(enclosure.leakage_q, TIGHTEST)
        if own <= LOWEST:
            continue
        yield Fault(
            "air leak",
            enclosure.name,
            partial(_changed, number, enclosure.leakage_q),
            partial(_words, enclosure),
            f"Play a quiet tone of about 30 Hz and pass a damp finger or a strip of thin paper "
            f"along the joints of {enclosure.name}, the frames of its drivers and the terminals; "
            "seal where it blows, with sealant that can be taken off again where a driver sits.",
            Sizes(LOWEST, own, own, LEAST, True, ""),
            odds=1.5,
        )


def _changed(number: int, design: float, built: Built, size: float) -> Built:
    def other(own: Enclosure) -> Enclosure:
        if math.isinf(design):
            # Two leaks let out together what each does by itself.
            losses = 1 / own.leakage_q + 1 / size - 1 / TIGHTEST
            return replace(own, leakage_q=1 / losses if losses > 0 else math.inf)
        return replace(own, leakage_q=scaled(own.leakage_q, design, size))

    return with_enclosure(built, number, other)


def _words(enclosure: Enclosure, size: float) -> str:
    own = "tight" if math.isinf(enclosure.leakage_q) else f"{enclosure.leakage_q:.3g}"
    return f"{enclosure.name} leaks air: Q of its leaks is about {size:.2g}, not {own}"
