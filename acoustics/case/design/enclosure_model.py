"""Enclosures, amplifier and brief of a case, in SI units."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from acoustics.case.design.section_model import Section

EnclosureKind = Literal["closed", "vented", "passive radiator"]
PortEnd = Literal["flush", "free"]


@dataclass(frozen=True)
class Port:
    """A duct through a wall of an enclosure; lengths in metres.

    `size` is (diameter,) of a round one, (width, height) of a slot. `position` is that of its
    mouth's centre on `face`, as a driver's. `length` is the duct's, wall included. An end is
    `flush` in a wall or stands `free`.
    """

    name: str
    size: tuple[float, ...]
    length: float
    position: tuple[float, float]
    face: str = "front"
    outer_end: PortEnd = "flush"
    inner_end: PortEnd = "free"

    @property
    def slot(self) -> bool:
        """Whether it is a slot."""
        return len(self.size) == 2


@dataclass(frozen=True)
class PassiveRadiator:
    """A cone without a motor in a wall of an enclosure; SI units.

    `moving_mass` has the air that moves along in free air in it, and any mass that was added.
    `most_displacement` is the peak in one direction, None if not stated.
    """

    name: str
    piston_diameter: float
    frame_diameter: float
    position: tuple[float, float]
    moving_mass: float
    compliance: float
    mechanical_resistance: float
    face: str = "front"
    most_displacement: float | None = None


@dataclass(frozen=True)
class Enclosure:
    """The air behind one or more drivers.

    `gross` is what the walls enclose (m³), `taken` what fills part of that, by what it is: drivers,
    ports, braces. Losses as Q at the tuning (closed: at the resonance of the drivers in it):
    `leakage_q`, `absorption_q`, `port_q` of the ports together; infinite where
    there are none. `fill` is the share of the volume that is loosely filled with fibre.
    """

    name: str
    kind: EnclosureKind
    drivers: tuple[str, ...]
    gross: float
    taken: tuple[tuple[str, float], ...] = ()
    ports: tuple[Port, ...] = ()
    passive_radiators: tuple[PassiveRadiator, ...] = ()
    leakage_q: float = 7.0
    absorption_q: float = float("inf")
    port_q: float = float("inf")
    fill: float = 0.0

    @property
    def volume(self) -> float:
        """Net volume, m³."""
        return self.gross - sum(volume for _, volume in self.taken)


def port_part(name: str) -> str:
    """What a port is called among what takes volume, where a driver may have the same name."""
    return f"port {name}"


@dataclass(frozen=True)
class Amplifier:
    """What drives the loudspeaker.

    `power` (W) into `into` (ohm) sets the highest voltage; `lowest_impedance` (ohm) is the lowest
    load it is made for. `resistance` (ohm) is its own and that of the cable together. `sections`,
    `gain` (dB), `delay` (s) and polarity are what an active filter does before the amplifier that
    the passive crossover hangs on.
    """

    power: float | None = None
    into: float = 8.0
    lowest_impedance: float | None = None
    resistance: float = 0.0
    sections: tuple[Section, ...] = ()
    gain: float = 0.0
    delay: float = 0.0
    inverted: bool = False

    @property
    def voltage(self) -> float | None:
        """Highest rms voltage; None if the power is not stated."""
        return None if self.power is None else (self.power * self.into) ** 0.5
