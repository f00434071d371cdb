"""A port wider or narrower than the drawing's."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from acoustics.case.design.enclosure_model import Enclosure, Port
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.changes import (
    scaled,
    with_duct_scaled,
    with_enclosure,
    with_port,
)
from acoustics.studies.verification.fault.fault import Fault, Sizes
from acoustics.studies.verification.fault.words import said
from acoustics.studies.verification.readings.readings import Readings

FACTORS = (0.6, 1.6)
LEAST = 0.08


def port_size_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every port: its diameter, or both sizes of a slot, and its duct's walls alike."""
    for number, enclosure in enumerate(design.case.enclosures):
        for which, port in enumerate(enclosure.ports):
            own = port.size[0]
            yield Fault(
                "port width",
                f"port {port.name} of {enclosure.name}",
                partial(_changed, number, which, port),
                partial(_words, port),
                f"Measure the port {port.name} inside, where it is narrowest: at its middle as "
                "well as at the mouths.",
                Sizes(FACTORS[0] * own, FACTORS[1] * own, own, LEAST, True, "m"),
            )


def _changed(number: int, which: int, port: Port, built: Built, size: float) -> Built:
    lead = port.size[0]

    def wider(now: Port) -> Port:
        sizes = zip(now.size, port.size, strict=True)
        return replace(now, size=tuple(scaled(a, b, scaled(b, lead, size)) for a, b in sizes))

    def other(own: Enclosure) -> Enclosure:
        return with_duct_scaled(with_port(own, which, wider), port, (size / lead) ** 2)

    return with_enclosure(built, number, other)


def _words(port: Port, size: float) -> str:
    if not port.slot:
        return (
            f"the port {port.name} is about {said(size, 'mm')} across, not "
            f"{said(port.size[0], 'mm')}"
        )
    told, own = (
        " × ".join(said(factor * each, "mm") for each in port.size)
        for factor in (size / port.size[0], 1.0)
    )
    return f"the slot {port.name} is about {told}, not {own}"
