"""A port in which no air moves."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from acoustics.case.design.enclosure_model import Enclosure
from acoustics.case.design.model import Case
from acoustics.source.box import tuning_of
from acoustics.studies.verification.bench.built import Built
from acoustics.studies.verification.fault.changes import with_enclosure, with_port
from acoustics.studies.verification.fault.fault import Fault
from acoustics.studies.verification.readings.readings import Readings

LONGER = 1000.0
"""m: by so much, as a plug; so radiators, places and the kind of box stay what they are"""


def port_stopped_faults(design: Built, readings: Readings) -> Iterator[Fault]:
    """One for every port."""
    for number, enclosure in enumerate(design.case.enclosures):
        for which, port in enumerate(enclosure.ports):
            yield Fault(
                "port stopped up",
                f"port {port.name} of {enclosure.name}",
                partial(_changed, number, which, _lower(design.case, enclosure, which)),
                partial(_words, port.name),
                f"Look and feel through the port {port.name}: a plug, wadding or fibre that was "
                "sucked in, or an inner end against a wall.",
                odds=0.5,
            )


def _lower(case: Case, enclosure: Enclosure, which: int) -> float:
    """The tuning without a port over that with it."""
    return tuning_of(case, _stopped(enclosure, which)) / tuning_of(case, enclosure)


def _stopped(enclosure: Enclosure, which: int) -> Enclosure:
    return with_port(enclosure, which, lambda own: replace(own, length=own.length + LONGER))


def _changed(number: int, which: int, lower: float, built: Built, size: float) -> Built:
    def other(own: Enclosure) -> Enclosure:
        # Q hold at the tuning; leaks, fibre and the other ports lose as much as before. (Only other
        # fibre, which is put in by what it loses, must come first to be reckoned the same.)
        return replace(
            _stopped(own, which),
            leakage_q=own.leakage_q * lower,
            absorption_q=math.inf if math.isinf(own.absorption_q) else own.absorption_q / lower,
            port_q=own.port_q * lower,
        )

    return with_enclosure(built, number, other)


def _words(name: str, size: float) -> str:
    return f"no air moves in the port {name}: it is stopped up, not open"
