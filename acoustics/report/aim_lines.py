"""The aims of a design, met and missed, in words."""

from __future__ import annotations

from collections.abc import Sequence

from acoustics.case.model import Aim
from acoustics.listening import AimVerdict
from acoustics.studies.wording import amount, beam, listed, number

STATES = {True: "met", False: "MISSED", None: "not known"}


def first_line(verdicts: Sequence[AimVerdict]) -> str:
    """Whether the design is good, by its own aims: the first thing a reader wants to know."""
    if not verdicts:
        return (
            "Is it good? The case file names no aims, so nothing decides; the figures below say "
            "what it does. Add [[aims]] to be told."
        )
    missed = [verdict for verdict in verdicts if verdict.met is False]
    unknown = [verdict for verdict in verdicts if verdict.met is None]
    met = len(verdicts) - len(missed) - len(unknown)
    parts = []
    if missed:
        by = [f"{v.aim.name} (by {amount(v.missed_by or 0.0, v.unit, finer=1)})" for v in missed]
        parts.append(f"missed: {listed(by)}")
    if unknown:
        parts.append(f"not known: {listed([verdict.aim.name for verdict in unknown])}")
    answer = "Yes" if met == len(verdicts) else "Not yet" if missed else "Not known"
    if met == len(verdicts):
        return f"Is it good? {answer}, by its own aims: all {met} are met."
    return f"Is it good? {answer}: it meets {met} of its {len(verdicts)} aims; {'; '.join(parts)}."


def aim_line(verdict: AimVerdict) -> str:
    """One aim: its state, the figure that decided it, what was asked, by how much it is missed."""
    aim = verdict.aim
    # The deciding figure is that of the first of these places.
    places = [place for place, value in verdict.values if value == verdict.value]
    where = f" at {places[0]}" if len(verdict.values) > 1 and places else ""
    missed = (
        f", missed by {amount(verdict.missed_by, verdict.unit, finer=1)}"
        if verdict.missed_by
        else ""
    )
    # Dips and windows have sections of their own, which say where they lie and what was predicted.
    told = aim.measure in ("beamwidth", "floor dip", "lobe window") and verdict.met is not None
    note = "" if told or not verdict.note else f"; {verdict.note}"
    return (
        f"{STATES[verdict.met]}: {aim.name}: {aim.measure} {_found(verdict, places)}{where} "
        f"(asked: {limits(aim, verdict.unit)}){missed}{note}"
    )


def _found(verdict: AimVerdict, places: list[str]) -> str:
    """The figure that decides an aim; an open window is at least that high."""
    if verdict.value is None:
        return "no figure"
    if verdict.aim.measure == "beamwidth":
        return beam(verdict.value)
    is_open = verdict.aim.measure == "lobe window" and any(p in verdict.note for p in places)
    least = "at least " if is_open else ""
    return f"{least}{amount(verdict.value, verdict.unit)}"


def limits(aim: Aim, unit: str) -> str:
    """What an aim asks for: "at most 2.5 dB", "60 to 90°"."""
    if aim.at_least is not None and aim.at_most is not None:
        return f"{number(aim.at_least, unit)} to {amount(aim.at_most, unit)}"
    if aim.at_least is not None:
        return f"at least {amount(aim.at_least, unit)}"
    return f"at most {amount(aim.at_most or 0.0, unit)}"
