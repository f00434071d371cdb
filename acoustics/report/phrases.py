"""Numbers as parts of a sentence: with how far they may be off, and as ranges."""

from __future__ import annotations

import math
from collections.abc import Iterable

from acoustics.studies.wording import DIGITS, NULL, amount, hertz, number

SAME_PLACE = 0.01
"""relative: frequencies closer than this are told as one"""


def sentence_start(text: str) -> str:
    """With a capital."""
    return f"{text[:1].upper()}{text[1:]}"


def finer(doubt: float | None, unit: str) -> int:
    """Digits beyond the unit's usual ones that it takes to show a doubt: 0 or 1."""
    return int(bool(doubt) and (doubt or 0.0) < 0.8 * 10.0 ** -DIGITS.get(unit, 2))


def with_doubt(value: float, doubt: float | None, unit: str) -> str:
    """A figure and how far it may be off, to the same digit: "1.22 ± 0.05 dB", "127 ± 1°".

    Without a doubt, the figure alone.
    """
    if not doubt:
        return amount(value, unit)
    more = finer(doubt, unit)
    return f"{number(value, unit, finer=more)} ± {amount(doubt, unit, finer=more)}"


def span(values: Iterable[float], unit: str) -> str:
    """The range of some figures: "10.6 to 11.2 dB", or one if the last digit is all they differ in.

    NaN are left out.
    """
    known = [value for value in values if not math.isnan(value)]
    low, high = min(known), max(known)
    if high - low < 1.5 * 10.0 ** -DIGITS[unit]:
        return amount((low + high) / 2, unit)
    return f"{number(low, unit)} to {amount(high, unit)}"


def depth_span(depths: Iterable[float], doubts: Iterable[float]) -> str:
    """The range of dips' depths: "10.6 to 11.2 dB"; of nulls only a least depth is known.

    Args:
        depths: dB.
        doubts: how much shallower each may be, dB.
    """
    pairs = [(d, u) for d, u in zip(depths, doubts, strict=True) if not math.isnan(d)]
    deep = [depth - doubt for depth, doubt in pairs if doubt > NULL]
    plain = [depth for depth, doubt in pairs if doubt <= NULL]
    if not deep:
        return span(plain, "dB")
    least = amount(min(deep), "dB")
    if not plain or min(plain) >= min(deep):
        return f"at least {least}"
    return f"{number(min(plain), 'dB')} to at least {least}"


def hertz_span(values: Iterable[float]) -> str:
    """The range of some frequencies: "298 to 359 Hz", "900 Hz to 1.1 kHz", or one if alike.

    NaN are left out.
    """
    known = [value for value in values if not math.isnan(value)]
    low, high = hertz(min(known)), hertz(max(known))
    if max(known) <= min(known) * (1 + SAME_PLACE):
        return hertz(math.sqrt(min(known) * max(known)))
    figure, _, unit = low.partition(" ")
    return f"{figure if high.endswith(f' {unit}') else low} to {high}"


def whole(value: float) -> str:
    """A figure to its whole number: "8", "−1"."""
    return f"{value:.0f}".replace("-", "−")


def slope(tilt: float) -> str:
    """A tilt (dB per octave) as what a curve does: "falls by 0.50 dB per octave", "is level"."""
    if abs(tilt) < 0.05:
        return "is level"
    return f"{'rises' if tilt > 0 else 'falls'} by {amount(abs(tilt), 'dB/octave')}"
