"""How faults write amounts, and the cautions that stand in what they advise."""

from __future__ import annotations

from acoustics.case.design.network_parts import PartKind
from acoustics.case.text.units import in_unit
from acoustics.studies.wording import amount, part_value

_SIGNS = {"uF": "µF", "nF": "nF", "l": "litres"}

UNPLUGGED = "With the amplifier unplugged and a minute given to capacitors, which hold charge, "
"""Before parts of a crossover are touched (common practice, no source)."""

SWITCHED_OFF = "With the amplifier switched off, "
"""Before leads are touched (common practice, no source)."""


def said(value: float, unit: str) -> str:
    """A quantity (SI) to three figures in the unit people use: "14.7 litres", "55 mm"."""
    number, _, sign = in_unit(value, unit, digits=3).partition(" ")
    return f"{number} {_SIGNS.get(sign, sign)}".replace("-", "−")


def part_said(kind: PartKind, value: float, *, digits: int = 4) -> str:
    """The value of a part (H, F, ohm): "14 µF"."""
    number, _, sign = part_value(kind, float(f"{value:.{digits}g}")).partition(" ")
    return f"{number} {_SIGNS.get(sign, sign)}"


def measured_part(kind: PartKind, value: float) -> str:
    """Likewise of one that is inferred: to two figures."""
    return part_said(kind, value, digits=2)


def decibels(level: float) -> str:
    """A size without sign: "3.0 dB"."""
    return amount(abs(level), "dB")
