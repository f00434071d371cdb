"""Sizes of faults and of what was set right, in the units in which people speak of them."""

from __future__ import annotations

import math

from acoustics.case.text.units import in_unit

TRADE = {
    "m": "mm",
    "m3": "l",
    "s": "ms",
    "kg": "g",
    "H": "mH",
    "F": "uF",
    "ohm": "ohm",
    "m/N": "mm/N",
    "T m": "T m",
    "Hz": "Hz",
    "ohm·sⁿ": "sH",
}
"""SI unit of the data → the one of a table; others stay as they are."""

SIGNS = {"uF": "µF", "l": "litres"}

FAR = 0.3
"""m: from there on a length is told in metres"""

FILL = "fill"
"""kind of a fault whose size is a share of a volume"""


def in_trade(value: float, unit: str, kind: str = "", *, digits: int = 3) -> tuple[str, str]:
    """A size as a number and its unit: ("14.2", "uF"); empty ones for what is not known."""
    if not math.isfinite(value):
        return "", ""
    if kind.startswith(FILL):
        return f"{100 * value:.{digits}g}", "%"
    if unit not in TRADE:
        return f"{value:.{digits}g}", unit
    number, _, own = in_unit(value, TRADE[unit], digits=digits).partition(" ")
    return number, own


def size_range(low: float, high: float, unit: str, kind: str = "") -> str:
    """The ends of a size, 95 %: "13 to 15.1 µF"; empty where they are not known."""
    far = unit == "m" and max(abs(low), abs(high)) >= FAR
    told = [
        (f"{end:.3g}", "m") if far else in_trade(end, unit, kind)
        for end in (low, high)
        if math.isfinite(end)
    ]
    if len(told) < 2:
        return ""
    (first, own), (last, _) = told
    if first == last:
        return _signed(f"{first} {SIGNS.get(own, own)}".rstrip())
    return _signed(f"{first} to {last} {SIGNS.get(own, own)}".rstrip())


def _signed(text: str) -> str:
    return text.replace("-", "−")
