"""The aims of a design, met and missed, in words."""

from __future__ import annotations

from collections.abc import Sequence

from acoustics.case.design.model import Aim
from acoustics.conventions import SPEAKERS
from acoustics.listening import AimVerdict, Held
from acoustics.listening.aims import CLOSE
from acoustics.report.brief_lines import brief_name
from acoustics.report.phrases import finer, with_doubt
from acoustics.studies.comparison.verdicts import aims_of, points_of
from acoustics.studies.wording import (
    ALL_ROUND,
    NULL,
    amount,
    beam,
    dip_depth,
    number,
    quoted,
    tally,
)

SAME = 1e-6
"""dB, degrees or metres: places whose figures differ by less fare alike"""


def first_line(verdicts: Sequence[AimVerdict], held: Sequence[Held] = ()) -> str:
    """Whether the design is good, by its own brief and aims: what a reader wants to know first."""
    if not verdicts and not held:
        return (
            "Is it good? The case file names no aims, so nothing decides; the figures below say "
            "what it does. Add [brief] or [[aims]] to be told."
        )
    states = [one.verdict for one in held] + [one.state for one in verdicts]
    if all(state == "met" for state in states):
        return f"Is it good? Yes, by what it set out to do: {_all_met(len(held), len(verdicts))}."
    unknown = any(state.startswith("not") for state in states)
    answer = "Not yet" if "missed" in states else "Not known" if unknown else CLOSE.capitalize()
    groups: list[tuple[str, list[tuple[str, str]]]] = [
        (points_of(held), [(one.verdict, brief_name(one)) for one in held]),
        (aims_of(verdicts), [(one.state, _aim_named(one)) for one in verdicts]),
    ]
    # What is missed comes first: "Not yet: it meets all" would be a riddle.
    order = sorted(groups, key=lambda group: "missed" not in [state for state, _ in group[1]])
    told = [tally(whole, states) for whole, states in order if states]
    return f"Is it good? {answer}: it {'. It '.join(told)}."


def _all_met(points: int, aims: int) -> str:
    """That all is met, with their numbers."""
    parts = []
    if points:
        parts.append(
            "the point of its brief" if points == 1 else f"all {points} points of its brief"
        )
    if aims:
        parts.append("its aim" if aims == 1 else f"all {aims} of its aims")
    return f"{' and '.join(parts)} {'is' if points + aims == 1 else 'are'} met"


def _aim_named(verdict: AimVerdict) -> str:
    name = quoted(verdict.aim.name)
    return f"{name} (by {_shortfall(verdict)})" if verdict.met is False else name


def aim_lines(verdicts: Sequence[AimVerdict]) -> list[str]:
    """One line for each aim, those missed first and those met last."""
    order = [False, None, True]
    return [aim_line(verdict) for verdict in sorted(verdicts, key=lambda v: order.index(v.met))]


def aim_line(verdict: AimVerdict) -> str:
    """One aim: its state, the figure that decided it, where, what was asked, and what to know."""
    aim = verdict.aim
    # Dips and windows have sections of their own, which say where they lie and what was predicted.
    told = aim.measure in ("beamwidth", "floor dip", "lobe window") and verdict.value is not None
    note = "" if told or not verdict.note else f"; {verdict.note}"
    caveat = f" [{verdict.caveat}]" if verdict.caveat else ""
    return (
        f"{_state(verdict)}: {aim.name}: {aim.measure} {_found(verdict)}{_where(verdict)} "
        f"({limits(aim, verdict.unit)} asked){note}{caveat}"
    )


def _state(verdict: AimVerdict) -> str:
    if verdict.met is False:
        return f"MISSED by {_shortfall(verdict)}"
    return verdict.state


def _shortfall(verdict: AimVerdict) -> str:
    """By how much an aim is missed, to the digit of the figure that misses it."""
    if _null(verdict):
        return f"at least {amount((verdict.missed_by or 0.0) - (verdict.uncertainty or 0.0), 'dB')}"
    return amount(
        verdict.missed_by or 0.0, verdict.unit, finer=finer(verdict.uncertainty, verdict.unit)
    )


def _found(verdict: AimVerdict) -> str:
    """The figure that decides an aim; an open window is at least that high."""
    if verdict.value is None:
        return "no figure"
    if verdict.aim.measure == "beamwidth" and not verdict.value < ALL_ROUND:
        return beam(verdict.value)
    if _null(verdict):
        return dip_depth(verdict.value, verdict.uncertainty or 0.0)
    is_open = verdict.aim.measure == "lobe window" and any(p in verdict.note for p in _at(verdict))
    least = "at least " if is_open else ""
    return f"{least}{with_doubt(verdict.value, verdict.uncertainty, verdict.unit)}"


def _null(verdict: AimVerdict) -> bool:
    """Whether the figure is a dip so deep that nobody knows its depth."""
    return verdict.aim.measure == "floor dip" and (verdict.uncertainty or 0.0) > NULL


def _where(verdict: AimVerdict) -> str:
    """The place that decides; nothing for an aim that all meet, nor where all fare alike."""
    places = _at(verdict)
    if verdict.met or len(places) in (0, len(verdict.values)):
        return ""
    # What both cabinets of a pair have in common is no matter of one of them.
    cabinet, _, rest = places[0].partition(" cabinet, ")
    others = [f"{other} cabinet, {rest}" for other in SPEAKERS if other != cabinet]
    return f" at {rest if rest and all(other in places for other in others) else places[0]}"


def _at(verdict: AimVerdict) -> list[str]:
    """The places whose figure is the one that decides."""
    if verdict.value is None:
        return []
    return [place for place, value in verdict.values if abs(value - verdict.value) < SAME]


def limits(aim: Aim, unit: str) -> str:
    """What an aim asks for: "at most 2.5 dB", "60 to 90"."""
    if aim.at_least is not None and aim.at_most is not None:
        return f"{number(aim.at_least, unit)} to {number(aim.at_most, unit)}"
    if aim.at_least is not None:
        return f"at least {amount(aim.at_least, unit)}"
    return f"at most {amount(aim.at_most or 0.0, unit)}"
