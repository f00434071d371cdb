"""Classic alignments for the drivers of a case: what each takes in volume and port."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from acoustics.cabinet.ports import air_volume
from acoustics.case.design.enclosure_model import Enclosure, Port
from acoustics.case.design.model import Case, Driver
from acoustics.source.alignments import Alignment, alignments_of
from acoustics.source.cone import driven_q
from acoustics.source.radiators import port_area
from acoustics.studies.box.retuned import retuned

PORT_AREA = 0.8
"""s/m: least area of a port over f_B·V_D, V_D the peak volume that the cones displace (Small, J.
Audio Eng. Soc. 21, 1973, 438; from memory)."""


@dataclass(frozen=True)
class Suggestion:
    """An alignment for the drivers of one kind in an enclosure.

    `volume` (m³, net) is that for all of them, with the fill the enclosure has. Of vented ones,
    `port_diameter` (m) is that of a round port of the area of all ports, `port_length` (m) what
    tunes it; NaN where no port is known, or none can be made.
    """

    enclosure: str
    driver: str
    alignment: Alignment
    volume: float
    port_diameter: float
    port_length: float


def suggestions_of(case: Case) -> tuple[Suggestion, ...]:
    """The classic alignments of every driver with small-signal parameters in an enclosure.

    Drivers that are alike in everything that counts are taken together, each with its share of the
    volume. Of vented boxes the ports are those of the enclosure; where it has none, one as large as
    the drivers' displacement needs.
    """
    return tuple(
        suggestion for enclosure in case.enclosures for suggestion in _of_enclosure(case, enclosure)
    )


def _of_enclosure(case: Case, enclosure: Enclosure) -> Iterator[Suggestion]:
    drivers = [case.driver(name) for name in enclosure.drivers]
    kinds: dict[object, list[Driver]] = {}
    for driver in drivers:
        if driver.small_signal is not None:
            kinds.setdefault(driver.small_signal, []).append(driver)
    for alike in kinds.values():
        signal = alike[0].small_signal
        assert signal is not None
        q = driven_q(case, signal)
        volume = len(alike) * signal.equivalent_volume(case.air)
        for alignment in alignments_of(signal.resonance, q, volume, enclosure.leakage_q):
            filled = alignment.volume / air_volume(1.0, enclosure.fill)
            diameter, length = _port(case, enclosure, alike, alignment, filled)
            yield Suggestion(enclosure.name, alike[0].name, alignment, filled, diameter, length)


def _port(
    case: Case, enclosure: Enclosure, drivers: list[Driver], alignment: Alignment, volume: float
) -> tuple[float, float]:
    """Diameter and length of the port that tunes an alignment, NaN where there is none."""
    if alignment.kind == "closed":
        return math.nan, math.nan
    if enclosure.kind == "vented":
        vented = enclosure
    else:
        diameter = least_port(drivers, alignment.tuning)
        if math.isnan(diameter):
            return math.nan, math.nan
        port = Port(name="port", size=(diameter,), length=0.0, position=(0.0, 0.0))
        vented = replace(enclosure, kind="vented", ports=(port,), passive_radiators=())
    area = sum(port_area(port) for port in vented.ports)
    made = retuned(case, vented, volume, alignment.tuning)
    length = made.ports[0].length if made is not None else math.nan
    return math.sqrt(4 * area / math.pi), length


def least_port(drivers: list[Driver], tuning: float) -> float:
    """Diameter (m) of the smallest port for drivers at their largest displacement; NaN if unknown.

    S ≥ 0.8·f_B·V_D: Small (1973).
    """
    moved = 0.0
    for driver in drivers:
        if driver.most_displacement is None or driver.small_signal is None:
            return math.nan
        moved += driver.most_displacement * driver.small_signal.effective_area
    return math.sqrt(4 * PORT_AREA * tuning * moved / math.pi)
