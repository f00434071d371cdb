"""Whether drivers go together, as text and as a table for a spreadsheet."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from acoustics.case.design.model import Case
from acoustics.report.cautions import CAUTIONS
from acoustics.report.compatibility_words import WORDS, each, figure_of
from acoustics.report.plain_text import bullet, heading, paragraph
from acoustics.report.spreadsheet import csv_text
from acoustics.studies.compatibility import OF_GROUPS, OF_PAIRS, Line, Verdict
from acoustics.studies.compatibility.levels import START
from acoustics.studies.compatibility.line import WORST_FIRST, Check
from acoustics.studies.wording import hertz, listed

BRIEF: dict[Check, str] = {"displacement": "brief.seat_level", "budget": "brief.budget"}
"""Checks of what the brief asks, and the key with which it does."""


COUNTED: dict[Verdict, str] = {
    "bad": "bad",
    "look twice": "to look at twice",
    "not known": "not known",
    "good": "good",
}


def compatibility_text(case: Case, lines: Sequence[Line]) -> str:
    """Say whether a case's drivers go together, by pair and driver, and what is not known.

    Args:
        case: the design.
        lines: as `studies.compatibility` gives them for it.

    Returns:
        Text of 88 columns, ending in a newline; it starts with the verdict.
    """
    alone = len(case.drivers) == 1
    question = (
        "Does this driver suit this cabinet?"
        if alone
        else "Do these drivers go together in this cabinet?"
    )
    parts = [
        f"{case.title}\n{'=' * len(case.title)}",
        paragraph(f"{question} {_answer(lines)}"),
    ]
    if case.warnings:
        # First: what is wrong here makes every figure below it wrong.
        parts.append(_section("What does not fit together in the case file", case.warnings))
    for subject in dict.fromkeys(_by_size(line.subject for line in lines)):
        told = [_told(line) for line in _worst_first(lines) if line.subject == subject]
        points = [text for text in told if text]
        if points:
            parts.append(_section(_title(subject), points))
    if unknown := _unknown(lines):
        parts.append(_section("Not known yet, and the key that would tell", unknown))
    if idle := _idle(case, lines):
        parts.append(_section("What does not apply", idle))
    parts += [
        _section("What this rests on", _basis()),
        _section("Before you buy, build and measure", CAUTIONS),
    ]
    return "\n\n".join(parts) + "\n"


def compatibility_csv(lines: Sequence[Line]) -> str:
    """Every check, one row each, as comma-separated values (RFC 4180).

    Columns: subject, check, figure, unit, rule, source, verdict, and the keys that would tell.
    """
    rows = [["subject", "check", "figure", "unit", "rule", "source", "verdict", "missing"]]
    for line in lines:
        value, unit = figure_of(line)
        rows.append(
            [
                _title(line.subject),
                line.check,
                "" if math.isnan(value) else f"{value:.6g}",
                unit,
                WORDS[line.check].rule(line),
                line.source,
                line.verdict,
                "; ".join(line.missing),
            ]
        )
    return csv_text(rows)


def _answer(lines: Sequence[Line]) -> str:
    """Yes or no, how many checks say what, and the worst of them."""
    counts = {verdict: sum(line.verdict == verdict for line in lines) for verdict in WORST_FIRST}
    told = listed([f"{count} {COUNTED[verdict]}" for verdict, count in counts.items() if count])
    if counts["bad"]:
        start = "Not like this"
    elif counts["look twice"]:
        start = "Perhaps"
    elif counts["good"] > counts["not known"]:
        start = "Yes, as far as is known"
    else:
        start = "Too little is known to say"
    worst = next(iter(_worst_first(lines)), None)
    named = ""
    if worst is not None and worst.verdict in ("bad", "look twice"):
        named = f" First of all: {_named(worst)}."
    number = "1 check" if len(lines) == 1 else f"{len(lines)} checks"
    return f"{start}. {number}: {told}.{named}"


def _worst_first(lines: Sequence[Line]) -> list[Line]:
    """Lines sorted by verdict; of the same verdict in the order in which they matter."""
    return sorted(lines, key=lambda line: WORST_FIRST.index(line.verdict))


def _by_size(subjects: Iterable[tuple[str, ...]]) -> list[tuple[str, ...]]:
    """The loudspeaker, then what several drivers have in common, then single ones."""
    return sorted(subjects, key=lambda subject: -len(subject) if subject else -math.inf)


def _title(subject: tuple[str, ...]) -> str:
    return listed(subject) if subject else "The loudspeaker"


def _named(line: Line) -> str:
    of = f" of {each(line.subject)}" if line.subject else ""
    return f"{WORDS[line.check].title.lower()}{of}"


def _told(line: Line) -> str:
    """One check as a point of a list; empty where there is nothing to tell."""
    words = WORDS[line.check]
    said = words.said(line)
    if not said:
        return ""
    remedy = words.remedy(line) if line.verdict in ("bad", "look twice") else ""
    try_this = f" Try: {remedy}." if remedy else ""
    return (
        f"{line.verdict.capitalize()}. {words.title}: {said}. Rule: {words.rule(line)} "
        f"({line.source}).{try_this}"
    )


def _unknown(lines: Sequence[Line]) -> list[str]:
    """Every key that is missing, and what it would tell."""
    tells: dict[str, list[str]] = {}
    for line in lines:
        for key in line.missing:
            tells.setdefault(key, []).append(_named(line))
    return [f"{key}: {listed(list(dict.fromkeys(checks)))}." for key, checks in tells.items()]


def _idle(case: Case, lines: Sequence[Line]) -> list[str]:
    """Checks that have no line, and why."""
    there = {line.check for line in lines}
    points = []
    asked = case.brief is not None and case.brief.seat_level is not None
    of_several = (*OF_PAIRS, *OF_GROUPS, *(("displacement",) if asked else ()))
    of_pairs = [WORDS[check].title.lower() for check in of_several if check not in there]
    if of_pairs:
        why = (
            "there is one driver"
            if len(case.drivers) == 1
            else "what hands over where behind passive parts is for `roundover predict` to tell"
            if any(case.is_passive(driver.name) for driver in case.drivers)
            else "no driver hands over to another by the crossover as it is written"
        )
        points.append(f"{listed(of_pairs).capitalize()}: {why}.")
    points += [
        f"{WORDS[check].title}: the brief does not ask ({key})."
        for check, key in BRIEF.items()
        if check not in there and (check == "budget" or (len(case.drivers) > 1 and not asked))
    ]
    return points


def _basis() -> list[str]:
    lowest = (
        f"twice the frequency at which it has fallen by 6 dB ({hertz(START)} where nothing tells)"
    )
    return [
        "Levels are means over the listening window of CTA-2034-A at 1 m for 2.83 V, each driver "
        "alone and unfiltered in its own band on this cabinet's field, solved roughly (about "
        f"1 dB). The lowest is judged over the octave from {lowest}, where it radiates all round.",
        "A crossover is where the corners of two neighbours' passes meet. Rules of common practice "
        "claim no source and never overrule a calculation or a measurement: `roundover predict` "
        "tells what the whole does.",
    ]


def _section(title: str, points: Sequence[str]) -> str:
    return "\n".join([heading(title), *map(bullet, points)])
