"""An enclosure with more or less air in it than the drawing's."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from acoustics.case.design.enclosure_model import Enclosure
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.changes import moved, with_enclosure
from acoustics.studies.verification.fault.fault import Fault, Sizes
from acoustics.studies.verification.fault.words import said
from acoustics.studies.verification.readings.readings import Readings

FACTORS = (0.5, 1.6)
LEAST = 0.1


def volume_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every enclosure: its net volume, by what its walls enclose."""
    for number, enclosure in enumerate(design.case.enclosures):
        net = enclosure.volume
        yield Fault(
            "volume off",
            enclosure.name,
            partial(_changed, number, enclosure),
            partial(_words, enclosure),
            f"Measure {enclosure.name} inside and take off what stands in it: braces, the port, "
            "the magnets, offcuts left behind; look too whether the board between two chambers is "
            "tight and where it belongs.",
            Sizes(FACTORS[0] * net, FACTORS[1] * net, net, LEAST, True, "m3"),
        )


def _changed(number: int, design: Enclosure, built: Built, size: float) -> Built:
    if size == design.volume:
        return built
    gross = design.gross + (size - design.volume)
    return with_enclosure(
        built, number, lambda own: replace(own, gross=moved(own.gross, design.gross, gross))
    )


def _words(design: Enclosure, size: float) -> str:
    told, own = said(size, "l"), said(design.volume, "l")
    return f"{design.name} has about {told} of air, not {own}"
