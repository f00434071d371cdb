"""A driver's impedance as somebody measured it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class MeasuredImpedance:
    """A driver's impedance in its cabinet, from a table.

    `frequency` in Hz, ascending; `resistance` and `reactance` in ohm. `beyond` says whether it may
    be carried on past the ends of the table. `source` is the table's file.
    """

    source: str
    frequency: tuple[float, ...]
    resistance: tuple[float, ...]
    reactance: tuple[float, ...]
    beyond: bool = False
