"""How numbers and lists are written for people."""

from __future__ import annotations

from collections.abc import Sequence

from acoustics.case.units import in_unit

UNITS = {"dB": " dB", "dB/octave": " dB per octave", "degree": "°", "m": " m", "Hz": " Hz"}
DIGITS = {"dB": 1, "dB/octave": 2, "degree": 0, "m": 2, "Hz": 0}


def amount(value: float, unit: str, digits: int | None = None) -> str:
    """A number with its unit as people read it: "2.1 dB", "−0.30 dB per octave", "108°"."""
    text = f"{value:.{DIGITS.get(unit, 3) if digits is None else digits}f}"
    if float(text) == 0:
        text = text.lstrip("-")
    return f"{text.replace('-', '−')}{UNITS.get(unit, f' {unit}' if unit else '')}"


def hertz(frequency: float) -> str:
    """A frequency to three figures: "338 Hz", "2.2 kHz"."""
    rounded = float(f"{frequency:.3g}")
    return in_unit(rounded, "kHz" if rounded >= 1000 else "Hz")


def listed(names: Sequence[str]) -> str:
    """Names as a phrase: "woofer, midrange and tweeter"."""
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
