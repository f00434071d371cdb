"""What a passive crossover is made of, in SI units."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Place = Literal["series", "across"]
Joined = Literal["one after the other", "side by side"]


@dataclass(frozen=True)
class Element:
    """One part of the network from the amplifier to a driver, or several that belong together.

    As a rung of a ladder it has a `place`: in the way of the signal ("series") or from there to
    ground ("across"). In a network of any other form it lies `between` two nodes (see
    `network_nodes`), and has no place. At least one of `inductor` (H), `capacitor` (F) and
    `resistor` (ohm) is there; several are joined one after the other or side by side. `resistance`
    (ohm) is the coil's wire, or the capacitor's loss where there is no coil, in series with it;
    `core_resistance` (ohm) a core's loss beside the inductance, None for none. An empty `name`
    leaves it to be numbered. `second_capacitor` (F) lies side by side with the first, and
    `second_resistor` (ohm) one after the other with it; they count as one value in two pieces.
    """

    place: Place | None = None
    inductor: float | None = None
    capacitor: float | None = None
    resistor: float | None = None
    resistance: float = 0.0
    core_resistance: float | None = None
    joined: Joined = "one after the other"
    name: str = ""
    between: tuple[str, str] | None = None
    second_capacitor: float | None = None
    second_resistor: float | None = None
