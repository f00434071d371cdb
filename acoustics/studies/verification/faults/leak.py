"""A cabinet that is not tight."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.changes import scaled, with_enclosure
from acoustics.studies.verification.fault.fault import Fault, Sizes
from acoustics.studies.verification.readings.readings import Readings

LOWEST = 0.5
"""Q of a hole that one sees"""

LEAST = 0.6
"""Leaks stray from one good cabinet to the next by about half (common practice, no source)."""


def leak_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every enclosure in whose design some leak is reckoned with."""
    for number, enclosure in enumerate(design.case.enclosures):
        own = enclosure.leakage_q
        if own <= LOWEST or math.isinf(own):
            continue
        yield Fault(
            "air leak",
            enclosure.name,
            partial(_changed, number, own),
            partial(_words, enclosure.name, own),
            f"Play a quiet tone of about 30 Hz and pass a damp finger or a strip of thin paper "
            f"along the joints of {enclosure.name}, the frames of its drivers and the terminals; "
            "seal where it blows, with sealant that can be taken off again where a driver sits.",
            Sizes(LOWEST, own, own, LEAST, True, ""),
            odds=1.5,
        )


def _changed(number: int, design: float, built: Built, size: float) -> Built:
    return with_enclosure(
        built, number, lambda own: replace(own, leakage_q=scaled(own.leakage_q, design, size))
    )


def _words(name: str, design: float, size: float) -> str:
    return f"{name} leaks air: Q of its leaks is about {size:.2g}, not {design:.3g}"
