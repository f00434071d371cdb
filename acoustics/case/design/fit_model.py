"""What a passive crossover is to be fitted to, and from which parts."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from acoustics.case.design.topology import Topology

Series = Literal["E12", "E24"]


@dataclass(frozen=True)
class Weights:
    """How much each aim counts, by its mean square in dB; 0 for not at all.

    listening_window and in_room: deviation from a straight line. directivity: deviation of the
    directivity index from a smooth curve. phase: what drivers out of step lose on the reference
    axis.
    """

    listening_window: float = 1.0
    in_room: float = 0.2
    directivity: float = 0.1
    phase: float = 0.2


@dataclass(frozen=True)
class Prices:
    """Of parts, in the currency of the drivers' prices: each, and what its value adds."""

    inductor: float = 0.0
    inductor_per_mh: float = 0.0
    capacitor: float = 0.0
    capacitor_per_uf: float = 0.0
    resistor: float = 0.0


@dataclass(frozen=True)
class Fit:
    """Aims of a fit, and what it may use.

    `tilt` in dB per octave, `level` in dB at 1 m for 2.83 V (None: left free), `band` in Hz;
    `crossovers` (Hz) are the spans in which drivers may hand over, from the lowest on, empty for
    spans taken from the drivers. `least_impedance` (ohm): the amplifier's if None. `wire` (m) of
    the coils, `capacitor_loss` tan δ. `topologies` by driver; a driver without any gets the usual
    ones. A part is taken only if it brings `worth_of_part`, in dB, and `worth_of_price` for every
    unit of currency.
    """

    weights: Weights = field(default_factory=Weights)
    tilt: float = 0.0
    level: float | None = None
    band: tuple[float, float] = (200.0, 15_000.0)
    smoothing: float = 6.0
    crossovers: tuple[tuple[float, float], ...] = ()
    least_impedance: float | None = None
    most_parts: int = 12
    series: Series = "E24"
    coil_series: Series = "E12"
    pairs: bool = False
    wire: float = 1.0e-3
    capacitor_loss: float = 1.0e-3
    topologies: tuple[tuple[str, tuple[Topology, ...]], ...] = ()
    prices: Prices = field(default_factory=Prices)
    worth_of_part: float = 0.02
    worth_of_price: float = 0.0
    seed: int = 1
