"""The points of a brief, met and missed, in words."""

from __future__ import annotations

from collections.abc import Sequence

from acoustics.case.source_model import Brief
from acoustics.listening import Held
from acoustics.report.phrases import finer, with_doubt
from acoustics.studies.wording import amount, hertz, listed, number

ORDER = ("missed", "too close to call", "not yet known", "met")

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
    more = 1 if one.unit == "m" else finer(one.uncertainty, one.unit)
    least = "at least " if one.bound else ""  # what is not known can only make it worse
    return f"{least}{_plain(one.by or 0.0, one.unit, more)}"


def _found(one: Held) -> str:
    """The figure, how far it may be off, and where it was taken."""
    value = one.found or 0.0
    if one.name == "surfaces":
        return f"{value:g} of {one.at_least:g} are in the case"
    if one.unit in ("", "m", "Hz"):
        text = _plain(value, one.unit, 1)
    else:
        text = with_doubt(value, one.uncertainty, one.unit)
    at = "" if one.frequency is None else f" at {hertz(one.frequency)}"
    return f"{one.bound} {text}{WHAT.get(one.name, '')}{at}".lstrip()


def _asked(brief: Brief, one: Held) -> str:
    """What was wanted: "at most 45 Hz", "−1.00 to 0.30 dB per octave", "floor and front wall"."""
    if one.name == "surfaces":
        return listed(brief.surfaces)
    if one.at_least is not None and one.at_most is not None:
        return f"{number(one.at_least, one.unit)} to {amount(one.at_most, one.unit)}"
    if one.at_least is not None:
        return f"at least {_plain(one.at_least, one.unit)}"
    return f"at most {_plain(one.at_most or 0.0, one.unit, int(one.unit == 'm'))}"


def _plain(value: float, unit: str, more: int = 0) -> str:
    """A figure with its unit; money has none, and frequencies have three figures."""
    if unit == "Hz":
        return hertz(value)
    return f"{value:.10g}" if not unit else amount(value, unit, finer=more)
