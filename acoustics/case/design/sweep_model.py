"""A design space round a case, checked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Keep = Literal["figures", "fields"]


@dataclass(frozen=True)
class SweptKey:
    """Keys of a case that take the same value, and the values, in base units.

    `name` is what they are called in the data; `keys` are paths as messages write them; `unit` is
    that of the case file in which the values are ("m", "deg"), empty for bare numbers; `whole` says
    whether they are whole numbers. Of a key that is drawn, `values` are the ends of its range,
    divided in equal ratios if it is `logarithmic`.
    """

    name: str
    keys: tuple[str, ...]
    values: tuple[float, ...]
    unit: str
    whole: bool
    logarithmic: bool = False


@dataclass(frozen=True)
class Sample:
    """How many points are drawn over some keys together, and which of the many samples it is."""

    points: int
    seed: int
    over: tuple[SweptKey, ...]


@dataclass(frozen=True)
class Sweep:
    """A design space round a case."""

    keep: Keep
    over: tuple[SweptKey, ...]
    sample: Sample | None
