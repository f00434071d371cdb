"""Values that parts are sold in, and what two of them make together."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from acoustics.case.design.fit_model import Series
from acoustics.case.design.network_model import Joined
from acoustics.case.design.network_parts import PartKind
from acoustics.conventions import RoundoverError

_HALF = (1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2)
_OTHER_HALF = (1.1, 1.3, 1.6, 2.0, 2.4, 3.0, 3.6, 4.3, 5.1, 6.2, 7.5, 9.1)

SERIES: dict[Series, tuple[float, ...]] = {
    "E12": _HALF,
    "E24": tuple(sorted(_HALF + _OTHER_HALF)),
}
"""Preferred numbers of a decade, IEC 60063:2015 (from memory)."""

JOINED: tuple[Joined, ...] = ("side by side", "one after the other")

SMALLEST_SHARE = 0.02
"""A second part that adds less than this is below what parts are exact to (common practice, no
source)."""


def nearest(value: float, series: Series = "E12") -> float:
    """The standard value with the smallest ratio to a value, in its unit."""
    return min(neighbours(value, series), key=lambda standard: abs(math.log(standard / value)))


def neighbours(value: float, series: Series = "E12") -> tuple[float, float]:
    """The standard values next to a value, below and above; twice itself if it is one.

    Raises:
        RoundoverError: a value that is not above 0.
    """
    if not (value > 0 and math.isfinite(value)):
        raise RoundoverError(f"a part has a value above 0, not {value:g}")
    decade = math.floor(math.log10(value))
    around = [_scaled(number, power) for power in (decade, decade + 1) for number in SERIES[series]]
    for standard in around:
        if math.isclose(standard, value):
            return standard, standard
    return max(each for each in around if each < value), min(
        each for each in around if each > value
    )


def between(low: float, high: float, series: Series) -> list[float]:
    """The standard values from `low` to `high`, both counted in, ascending."""
    powers = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1) if high > 0 else ()
    every = (_scaled(number, power) for power in powers for number in SERIES[series])
    return [value for value in every if low * (1 - 1e-9) <= value <= high * (1 + 1e-9)]


@dataclass(frozen=True)
class Combination:
    """One or two parts of standard values that stand for one value.

    `joined` is None for a single part. `value` is what they make together and `error` how much
    that is off, as a share of the value wanted.
    """

    values: tuple[float, ...]
    joined: Joined | None
    value: float
    error: float


def combined(
    value: float, kind: PartKind, series: Series = "E12", most: int | None = None
) -> Combination:
    """The best of the parts, and pairs of them, that can be bought for a value.

    Args:
        value: H, F or ohm.
        kind: of part.
        series: of standard values.
        most: parts to take, 1 or 2; None for 2, but 1 of inductors: coils near each other couple.

    Returns:
        The combination with the smallest ratio to the value; of equals, fewer parts.
    """
    if most is None:
        most = 1 if kind == "inductor" else 2
    if most not in (1, 2):
        raise RoundoverError(f"parts are combined from 1 or 2, not from {most}")
    single = nearest(value, series)
    best = _told((single,), None, single, value)
    if most == 1:
        return best
    for joined in JOINED:
        adds = (joined == "side by side") == (kind == "capacitor")
        for values, together in _pairs(value, series, adds):
            found = _told(values, joined, together, value)
            # A pair that is better by rounding only is not worth its second part.
            if _ratio(found, value) < _ratio(best, value) - 1e-9:
                best = found
    return best


def _pairs(value: float, series: Series, adds: bool) -> Iterator[tuple[tuple[float, float], float]]:
    """Pairs of standard values whose sum, or if not `adds` harmonic sum, is near a value.

    The part with the greater share first.
    """
    wanted = value if adds else 1 / value
    power = math.floor(math.log10(value))
    for exponent in (power - 1, power, power + 1):
        for number in SERIES[series]:
            first = _scaled(number, exponent)
            own = first if adds else 1 / first
            left = wanted - own
            if not wanted / 2 <= own * (1 + 1e-9) or left < SMALLEST_SHARE * wanted:
                continue
            for second in neighbours(left if adds else 1 / left, series):
                together = first + second if adds else 1 / (1 / first + 1 / second)
                yield (first, second), together


def _scaled(number: float, power: int) -> float:
    """A preferred number times a power of ten, as exactly as it is written."""
    return float(f"{number}e{power}")


def _told(
    values: tuple[float, ...], joined: Joined | None, together: float, value: float
) -> Combination:
    return Combination(values, joined, together, together / value - 1)


def _ratio(combination: Combination, value: float) -> float:
    return abs(math.log(combination.value / value))
