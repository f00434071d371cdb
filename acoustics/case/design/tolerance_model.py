"""How far what is built strays from what was designed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Shape = Literal["normal", "uniform"]

Kind = Literal[
    "position",
    "ear height",
    "distance",
    "level",
    "delay",
    "temperature",
    "part",
    "driver parameter",
    "key",
]
"""What strays: a driver's centre (to the right or up), the ears at the main seat, the main seat's
distance, a driver's level (dB), its delay, the air, one value of one part of the passive
crossover, one parameter of a driver, any other key of the case by its path."""


@dataclass(frozen=True)
class Spread:
    """One thing that strays by itself, all `keys` by the same amount.

    `name` is what it is called in words and in the data. `within` holds 95 % of the builds where
    the shape is normal (1.96 standard deviations) and all of them where it is uniform: in base
    units of the key, in dB for a level, or as a share of the value where it is `relative`.
    `keys` are paths as messages about the case file write them, `values` those the design has
    there (base units), `unit` theirs in the file, empty for bare numbers. A level and a delay have
    the driver's name as their only key and 0 as its value; a driver's parameter has
    "DRIVER.PARAMETER", as in `driver.SmallSignal`.
    """

    name: str
    kind: Kind
    keys: tuple[str, ...]
    values: tuple[float, ...]
    within: float
    relative: bool = False
    shape: Shape = "normal"
    unit: str = ""


@dataclass(frozen=True)
class Tolerance:
    """All spreads of a case, how many builds are drawn, and which of the many draws it is.

    `band` is the share of the builds (0 to 1) that lie within the bands told. `usual` says that
    the case states no spreads, so that these are the usual ones.
    """

    spreads: tuple[Spread, ...]
    builds: int = 1000
    seed: int = 1
    band: float = 0.9
    usual: bool = False
