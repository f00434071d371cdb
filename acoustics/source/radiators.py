"""Everything of a case that moves air: cones, ports and passive radiators."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from acoustics.case.design.enclosure_model import Enclosure, PassiveRadiator, Port
from acoustics.case.design.model import Case, Driver

RadiatorKind = Literal["cone", "port", "passive radiator"]


@dataclass(frozen=True)
class Radiator:
    """Something that moves air; lengths in metres.

    `driver` is a cone's index among the drivers of the case. `enclosure` names the air behind it,
    empty where the case states none. `area` is the effective one (m²), `size` (diameter,) or, of a
    slot, (width, height). `most_displacement` is the peak in one direction, None if not stated and
    for ports.
    """

    name: str
    kind: RadiatorKind
    area: float
    size: tuple[float, ...]
    face: str
    position: tuple[float, float]
    enclosure: str = ""
    driver: int | None = None
    most_displacement: float | None = None


def radiators_of(case: Case) -> tuple[Radiator, ...]:
    """The cones in the order of the drivers, then ports and passive radiators by enclosure."""
    home = {driver: each.name for each in case.enclosures for driver in each.drivers}
    cones = (
        Radiator(
            name=driver.name,
            kind="cone",
            area=cone_area(driver),
            size=(driver.piston_diameter,),
            face=driver.face,
            position=driver.position,
            enclosure=home.get(driver.name, ""),
            driver=number,
            most_displacement=driver.most_displacement,
        )
        for number, driver in enumerate(case.drivers)
    )
    return (*cones, *(radiator for each in case.enclosures for radiator in _others(each)))


def cone_area(driver: Driver) -> float:
    """Effective area of a driver, m²: as its parameters have it, else that of its piston."""
    if driver.small_signal is not None:
        return driver.small_signal.effective_area
    return math.pi * driver.piston_diameter**2 / 4


def port_area(port: Port) -> float:
    """Cross-section of a port, m²."""
    return port.size[0] * port.size[1] if port.slot else math.pi * port.size[0] ** 2 / 4


def passive_area(passive: PassiveRadiator) -> float:
    """Effective area of a passive radiator, m²."""
    return math.pi * passive.piston_diameter**2 / 4


def _others(enclosure: Enclosure) -> Iterator[Radiator]:
    for port in enclosure.ports:
        yield Radiator(
            name=port.name,
            kind="port",
            area=port_area(port),
            size=port.size,
            face=port.face,
            position=port.position,
            enclosure=enclosure.name,
        )
    for passive in enclosure.passive_radiators:
        yield Radiator(
            name=passive.name,
            kind="passive radiator",
            area=passive_area(passive),
            size=(passive.piston_diameter,),
            face=passive.face,
            position=passive.position,
            enclosure=enclosure.name,
            most_displacement=passive.most_displacement,
        )
