"""The points of a brief, met and missed, in words."""

from __future__ import annotations

import math
from collections.abc import Sequence

from acoustics.case.design.brief_model import Brief
from acoustics.case.text.units import in_unit
from acoustics.listening import Held
from acoustics.report.phrases import finer, with_doubt
from acoustics.studies.wording import amount, hertz, listed, number

ORDER = ("missed", "too close to call", "not yet known", "met")

SIZES = ("width", "height", "depth")
"""Points that people tell in millimetres"""

WHAT = {
    "level": " at 1 m for 2.83 V",
    "reach": ", down to 6 dB below the mean level",
}
"""Name of a point → what else its figure takes to be understood."""


def brief_lines(brief: Brief, held: Sequence[Held]) -> list[str]:
    """One line for each point of a brief, those missed first and those met last.

    Args:
        brief: what was wanted.
        held: the same, held against a prediction.
    """
    ordered = sorted(held, key=lambda one: ORDER.index(one.verdict))
    return [brief_line(brief, one) for one in ordered]


def brief_line(brief: Brief, one: Held) -> str:
    """One point: whether it is met, what was found, what was wanted, and what would tell."""
    state = f"MISSED by {_shortfall(one)}" if one.verdict == "missed" else one.verdict
    found = "" if one.found is None else f": {_found(one)}"
    tell = f": {one.tell}" if one.tell else ""
    caveat = f" [{one.caveat}]" if one.caveat else ""
    return f"{state}: {one.name}{found} ({_asked(brief, one)} asked){tell}{caveat}"


def brief_name(one: Held) -> str:
    """What a point is called in a list, and by how much it is missed: "level (by 1.2 dB)"."""
    return f"{one.name} (by {_shortfall(one)})" if one.verdict == "missed" else one.name


def _shortfall(one: Held) -> str:
    least = "at least " if one.bound else ""  # what is not known can only make it worse
    by = one.by or 0.0
    if (place := _place(one)) is not None:
        by = abs((one.found or 0.0) - place)
    return f"{least}{_plain(one, by, finer(one.uncertainty, one.unit))}"


def _place(one: Held) -> float | None:
    """Where a seat or an ear is asked for (m), in the middle of a tolerance; None for the rest."""
    if one.unit != "m" or one.at_least is None or one.at_most is None:
        return None
    return (one.at_least + one.at_most) / 2


def _found(one: Held) -> str:
    """The figure, how far it may be off, and where it was taken."""
    value = one.found or 0.0
    if one.name == "surfaces":
        return f"{value:g} of {one.at_least:g} are in the case"
    if one.unit in ("", "m", "Hz"):
        text = f"{_plain(one, value)}{_doubt(one)}"
    else:
        text = with_doubt(value, one.uncertainty, one.unit)
    at = "" if one.frequency is None else f" at {hertz(one.frequency)}"
    return f"{one.bound} {text}{WHAT.get(one.name, '')}{at}".lstrip()


def _asked(brief: Brief, one: Held) -> str:
    """What was wanted: "at most 45 Hz", "−1.00 to 0.30 dB per octave", "floor and front wall"."""
    if one.name == "surfaces":
        return listed(brief.surfaces)
    if (place := _place(one)) is not None:
        return _plain(one, place)
    if one.at_least is not None and one.at_most is not None:
        return f"{number(one.at_least, one.unit)} to {amount(one.at_most, one.unit)}"
    if one.at_least is not None:
        return f"at least {_plain(one, one.at_least)}"
    return f"at most {_plain(one, one.at_most or 0.0)}"


def _doubt(one: Held) -> str:
    """How far a frequency may be off, where that decides: its error is not alike to both sides."""
    if one.verdict != "too close to call" or not one.uncertainty:
        return ""
    if not math.isfinite(one.uncertainty):
        return ", uncertain without bound"
    return f", uncertain by up to {hertz(one.uncertainty)}"


def _plain(one: Held, value: float, more: int = 0) -> str:
    """A figure of a point with its unit; money has none, and frequencies have three figures."""
    if one.unit == "Hz":
        return hertz(value)
    if one.unit == "m":
        return in_unit(value, "mm" if one.name in SIZES else "m", digits=4)
    return f"{value:.10g}" if not one.unit else amount(value, one.unit, finer=more)
