"""Textbook crossovers: lossless ladders that give a resistance exactly the slopes of an alignment.

The amplifier has no resistance, so a ladder is synthesised as singly terminated. Its chain
parameters A (even in s) and B (odd) are the even and the odd part of the denominator, and what the
load sees looking back, y₂₂ = A/B, is taken apart from the load on as a continued fraction: poles at
infinity are coils in series and capacitors across, poles at 0 capacitors in series and coils
across (Cauer; Weinberg, Network Analysis and Synthesis, 1962; Zverev, Handbook of Filter Synthesis,
1967; from memory).
"""

from __future__ import annotations

from fractions import Fraction
from typing import Literal

import numpy as np

from acoustics.case.design.network_model import Element
from acoustics.conventions import RoundoverError
from acoustics.crossover.alignments import ALIGNMENTS

Kind = Literal["low-pass", "high-pass", "band-pass"]

CORNERS: dict[Kind, tuple[bool, bool]] = {
    "low-pass": (False, True),
    "high-pass": (True, False),
    "band-pass": (True, True),
}
"""Whether there is a low and a high corner."""


def textbook_ladder(
    kind: Kind,
    alignment: str,
    order: int,
    load: float,
    *,
    low_corner: float | None = None,
    high_corner: float | None = None,
) -> tuple[Element, ...]:
    """Lossless ladder from an amplifier of no resistance into a resistance.

    Its transfer is that of `pass_response`; a band-pass's, with the high-pass toward the amplifier,
    is that times `band_pass_gain`. Two ladders one after the other would load each other; here the
    denominators of both slopes are multiplied and the ladder made of their product, so the shape is
    exact however close the corners are.

    Args:
        kind: of the slopes.
        alignment: one of `ALIGNMENTS`.
        order: of each slope, as the alignment has it.
        load: ohm.
        low_corner: Hz, of a high-pass or band-pass.
        high_corner: Hz, of a low-pass or band-pass.

    Returns:
        Elements of one part each, from the amplifier to the driver, the first one in series.

    Raises:
        RoundoverError: an order the alignment does not have, corners that do not fit the kind, or a
            load that is not above 0.
    """
    if not load > 0:
        raise RoundoverError(f"a load has a resistance above 0, not {load:g} ohm")
    unit, stops_high, stops_low = _taken_apart(kind, alignment, order, low_corner, high_corner)
    from_load = []
    for at_infinity, quotients in ((True, stops_high), (False, stops_low)):
        # The element at the amplifier is in series, so that at the load is if the order is odd.
        series = order % 2 == 1
        for quotient in quotients:
            from_load.append(_element(series, at_infinity, quotient, load, unit))
            series = not series
    return tuple(reversed(from_load))


def band_pass_gain(alignment: str, order: int, low_corner: float, high_corner: float) -> float:
    """How much louder than its alignment a textbook band-pass is, V/V; above 1.

    A lossless ladder's poles fix its gain too: at order 1 it is 1 + low corner/high corner, and
    with corners far apart it tends to 1. An attenuator can take it up.
    """
    unit, stops_high, _ = _taken_apart("band-pass", alignment, order, low_corner, high_corner)
    # Far above the band the high-pass is a short: what is left falls as 1/∏q·s^−order, the
    # alignment as ∏|p| s^−order.
    alone = np.prod(np.abs(ALIGNMENTS[alignment](order)) * high_corner / unit)
    return float(1 / (alone * np.prod(stops_high)))


def _taken_apart(
    kind: Kind,
    alignment: str,
    order: int,
    low_corner: float | None,
    high_corner: float | None,
) -> tuple[float, list[float], list[float]]:
    """Frequency (Hz) in which s is counted, and the quotients from the load on.

    First those of the poles at infinity, then those at 0, for a load of 1 ohm.
    """
    _check_corners(kind, low_corner, high_corner)
    if alignment not in ALIGNMENTS:
        raise RoundoverError(
            f"there is no alignment {alignment!r}; the alignments are {', '.join(ALIGNMENTS)}"
        )
    poles = ALIGNMENTS[alignment](order)
    corners = [corner for corner in (low_corner, high_corner) if corner is not None]
    unit = corners[0]
    below = None if low_corner is None else low_corner / poles
    above = None if high_corner is None else high_corner * poles
    all_poles = np.concatenate([each for each in (below, above) if each is not None]) / unit
    # Exact fractions: the differences of a continued fraction cancel, most of all with corners far
    # apart.
    rest = [Fraction(float(each)) for each in _polynomial(all_poles)]
    stops_high, rest = _quotients(rest, 0 if above is None else order)
    stops_low, _ = _quotients(rest[::-1], 0 if below is None else order)
    return unit, stops_high, stops_low


def _check_corners(kind: Kind, low_corner: float | None, high_corner: float | None) -> None:
    given = low_corner is not None, high_corner is not None
    if kind not in CORNERS or CORNERS[kind] != given:
        told = ", ".join(
            f"{name} {corner:g} Hz"
            for name, corner in (("low_corner", low_corner), ("high_corner", high_corner))
            if corner is not None
        )
        raise RoundoverError(
            "a low-pass has a high_corner, a high-pass a low_corner and a band-pass both; "
            f"a {kind} was given {told or 'none'}"
        )
    if not all(corner is None or corner > 0 for corner in (low_corner, high_corner)):
        raise RoundoverError("a corner is above 0 Hz")
    if low_corner is not None and high_corner is not None and low_corner >= high_corner:
        raise RoundoverError(
            f"a band-pass has its low corner below its high one, not {low_corner:g} Hz and "
            f"{high_corner:g} Hz"
        )


def _polynomial(poles: np.ndarray) -> np.ndarray:
    """∏(s − p), highest power first, from pairs of poles: of positive numbers only."""
    answer = np.ones(1)
    for pole in poles:
        # Poles of one pair agree but for rounding, so one of them stands for both.
        if pole.imag == 0:
            answer = np.polymul(answer, [1.0, -pole.real])
        elif pole.imag > 0:
            answer = np.polymul(answer, [1.0, -2 * pole.real, abs(pole) ** 2])
    return answer


def _quotients(polynomial: list[Fraction], count: int) -> tuple[list[float], list[Fraction]]:
    """The first `count` quotients of the continued fraction of a polynomial's two parts in s².

    The part with the highest power over the other; highest power first, in and out. Also what is
    left: the polynomial of which the rest of the fraction is made.
    """
    quotients = []
    rest = polynomial
    for _ in range(count):
        upper, lower = rest[0::2], rest[1::2]
        quotient = upper[0] / lower[0]
        quotients.append(float(quotient))
        upper = [
            each - quotient * (lower[n] if n < len(lower) else 0) for n, each in enumerate(upper)
        ][1:]
        rest = [(lower if n % 2 == 0 else upper)[n // 2] for n in range(len(lower) + len(upper))]
    return quotients, rest


def _element(series: bool, at_infinity: bool, quotient: float, load: float, unit: float) -> Element:
    """q·s or q/s of a ladder of 1 ohm and 1 rad/s, at a load (ohm) and a frequency (Hz)."""
    omega = 2 * np.pi * unit
    scale = load if series else 1 / load
    place: Literal["series", "across"] = "series" if series else "across"
    value = quotient * scale / omega if at_infinity else 1 / (quotient * scale * omega)
    if series == at_infinity:
        return Element(place, inductor=value)
    return Element(place, capacitor=value)
