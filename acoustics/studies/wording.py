"""How numbers and lists are written for people."""

from __future__ import annotations

import math
from collections.abc import Sequence

from acoustics.case.text import units
from acoustics.case.text.phrases import listed

__all__ = [
    "amount",
    "beam",
    "dip_depth",
    "each_in",
    "hertz",
    "listed",
    "number",
    "per_cent",
    "tenths",
]

UNITS = {
    "dB": " dB",
    "dB/octave": " dB per octave",
    "degree": "°",
    "m": " m",
    "Hz": " Hz",
    "V": " V",
}
DIGITS = {"dB": 1, "dB/octave": 2, "degree": 0, "m": 2, "Hz": 0, "V": 1}

WRITTEN = {
    "m": "mm",
    "m2": "cm2",
    "m3": "l",
    "K": "degC",
    "s": "ms",
    "degree": "deg",
    "kg": "g",
    "H": "mH",
    "F": "uF",
    "m/N": "mm/N",
}
"""Base unit of a key → the one in which people write it."""

NULL = 3.0
"""dB: a dip that may be shallower by more is a null"""

ALL_ROUND = 360.0
"""degrees: a beam this wide has no end"""


def number(value: float, unit: str, *, finer: int = 0) -> str:
    """A number as people read it, its unit left out; `finer` adds digits to the unit's usual ones.

    Differences, and what is held against them, are written one digit finer.
    """
    if math.isinf(value):
        return "∞" if value > 0 else "−∞"
    text = f"{value:.{DIGITS.get(unit, 2) + finer}f}"
    if float(text) == 0:
        text = text.lstrip("-")
    return text.replace("-", "−")


def amount(value: float, unit: str, *, finer: int = 0) -> str:
    """A number with its unit: "2.1 dB", "−0.30 dB per octave", "108°"."""
    return f"{number(value, unit, finer=finer)}{UNITS.get(unit, f' {unit}' if unit else '')}"


def per_cent(probability: float) -> str:
    """A probability that never claims to be certain: "96 %", "more than 99 %"."""
    if probability > 0.99:
        return "more than 99 %"
    return "less than 1 %" if probability < 0.01 else f"{100 * probability:.0f} %"


def dip_depth(depth: float, doubt: float) -> str:
    """Depth of a dip (dB): "12.1 dB"; "at least 26.0 dB" for a null, whose depth nobody knows.

    Args:
        depth: dB.
        doubt: how much shallower the dip may be, dB.
    """
    return f"at least {amount(depth - doubt, 'dB')}" if doubt > NULL else amount(depth, "dB")


def beam(width: float) -> str:
    """A beamwidth (degrees): "108°"; "all round" where the level falls that far at no angle.

    "none" for NaN: there is no beam where the axis itself lies in a null.
    """
    if math.isnan(width):
        return "none"
    return amount(width, "degree") if width < ALL_ROUND else "all round"


def hertz(frequency: float) -> str:
    """A frequency to three figures: "338 Hz", "2.2 kHz"."""
    return units.hertz(float(f"{frequency:.3g}"))


def tenths(length: float) -> str:
    """A length (m) in millimetres to a tenth, its unit left out: "184", "130.1"."""
    return f"{1e3 * length + 0.0:.1f}".removesuffix(".0")


def part_value(kind: str, value: float) -> str:
    """Value (H, F, ohm) of an inductor, capacitor or resistor as a case file has it: "0.27 mH"."""
    unit = {"inductor": "mH", "capacitor": "uF" if value >= 1e-7 else "nF", "resistor": "ohm"}[kind]
    return units.in_unit(value, unit, digits=4)


def each_in(labels: Sequence[str], figures: Sequence[str]) -> str:
    """Each design's figure: "2 m in one and 2.5 m in other"."""
    return listed([f"{figure} in {who}" for figure, who in zip(figures, labels, strict=True)])


def quoted(name: str) -> str:
    """A name that someone gave, so that it cannot be read as part of the sentence round it."""
    return f"“{name}”"


def tally(whole: str, states: Sequence[tuple[str, str]]) -> str:
    """How much is met of something and what is not: "meets 1 of its 2 aims; missed: smooth".

    Args:
        whole: what it is, with its number.
        states: state and name of each part; of those that are met only the number is told.
    """
    met = sum(state == "met" for state, _ in states)
    if met == len(states):
        parts = [f"meets {'all of ' if met > 1 else ''}{whole}"]
    else:
        parts = [f"meets {met or ('none' if len(states) > 1 else 0)} of {whole}"]
    for state in ("missed", "too close to call", "not known", "not yet known"):
        names = [name for own, name in states if own == state]
        parts += [f"{state}: {listed(names)}"] if names else []
    return "; ".join(parts)


def limit_words(limit: str, driver: str) -> str:
    """What limits the level: "displacement (woofer)", "amplifier"; "nothing known" for no limit."""
    if not limit:
        return "nothing known"
    return f"{limit} ({driver})" if driver else limit
