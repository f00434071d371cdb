"""A comparison in words: which design is better for what."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import xarray as xr

from acoustics.listening import AimVerdict
from acoustics.studies.qualities import Ranking
from acoustics.studies.wording import amount, listed


def sentences_of(
    labels: Sequence[str],
    rankings: Sequence[Ranking],
    verdicts: Sequence[Sequence[AimVerdict]],
    answers: Sequence[xr.Dataset],
) -> tuple[str, ...]:
    """The verdict first, then the aims, then one sentence per quality and one for the floor's dip.

    Args:
        labels: a name for each design.
        rankings: how they stand in each quality.
        verdicts: their aims, judged.
        answers: their numbers.
    """
    return (
        overall(labels, rankings),
        *aims(labels, verdicts),
        *(ranking_sentence(labels, ranking) for ranking in rankings),
        *dip_drivers(labels, answers),
    )


def overall(labels: Sequence[str], rankings: Sequence[Ranking]) -> str:
    """Who leads in how many of the qualities."""
    apart = [ranking for ranking in rankings if not ranking.draw]
    if not rankings:
        return "Nothing could be compared; see the notes."
    if not apart:
        return (
            "The designs cannot be told apart: every difference is smaller than the uncertainty "
            f"({len(rankings)} qualities compared)."
        )
    parts = []
    for i, label in enumerate(labels):
        alone = [ranking.quality.name.split(" (")[0] for ranking in apart if ranking.best == (i,)]
        if alone:
            parts.append(f"{label} is better in {len(alone)} of {len(rankings)}: {listed(alone)}")
    shared = len([ranking for ranking in apart if len(ranking.best) > 1])
    if shared:
        parts.append(f"several share the lead in {shared}")
    alike = len(rankings) - len(apart)
    if alike:
        parts.append(f"in {alike} the difference is smaller than the uncertainty")
    return f"{'; '.join(parts)}."


def aims(labels: Sequence[str], verdicts: Sequence[Sequence[AimVerdict]]) -> list[str]:
    """How many of its own aims each design meets, and which it misses."""
    sentences = []
    for label, judged in zip(labels, verdicts, strict=True):
        if not judged:
            continue
        met = sum(verdict.met is True for verdict in judged)
        missed = [verdict.aim.name for verdict in judged if verdict.met is False]
        rest = f"; missed: {listed(missed)}" if missed else ""
        sentences.append(f"{label} meets {met} of its {len(judged)} aims{rest}.")
    return sentences


def ranking_sentence(labels: Sequence[str], ranking: Ranking) -> str:
    """Who is best in a quality, by how much, or that the difference is too small to tell."""
    quality = ranking.quality
    name = f"{quality.name[0].upper()}{quality.name[1:]}"
    figures = [amount(value, quality.unit, quality.digits) for value in ranking.values]
    top = ranking.best[0]
    if ranking.draw:
        apart = [abs(value - ranking.values[top]) for value in ranking.values]
        far = int(np.argmax(apart))
        doubt = ranking.uncertainties[far] + ranking.uncertainties[top]
        each = ", ".join(f"{who} {f}" for who, f in zip(labels, figures, strict=True))
        return (
            f"{name}: {each}; the difference, {fine(apart[far], quality.unit)}, is smaller than "
            f"the uncertainty, {fine(doubt, quality.unit)}."
        )
    leaders = listed([f"{labels[i]} ({figures[i]})" for i in ranking.best])
    others = [i for i in range(len(labels)) if i not in ranking.best]
    behind = listed([f"{labels[i]} ({figures[i]})" for i in others])
    nearest = min(others, key=lambda i: abs(ranking.values[i] - ranking.values[top]))
    gap = abs(ranking.values[nearest] - ranking.values[top])
    doubt = ranking.uncertainties[nearest] + ranking.uncertainties[top]
    verb = "is" if len(ranking.best) == 1 else "are"
    least = " at least" if len(others) > 1 else ""
    return (
        f"{name}: {leaders} {verb} better than {behind}, by{least} {fine(gap, quality.unit)} "
        f"(uncertainty {fine(doubt, quality.unit)})."
    )


def dip_drivers(labels: Sequence[str], answers: Sequence[xr.Dataset]) -> list[str]:
    """Where the floor's first dip lies in each design, and which driver plays there."""
    if not all("dip_driver" in each for each in answers):
        return []
    parts = []
    for label, each in zip(labels, answers, strict=True):
        dips = each.dip_frequency.values
        if np.isnan(dips).all():
            continue
        low, high = np.nanmin(dips), np.nanmax(dips)
        where = f"{low:.0f} Hz" if high - low < 1 else f"{low:.0f} to {high:.0f} Hz"
        drivers = dict.fromkeys(str(driver) for driver in each.dip_driver.values if driver)
        parts.append(f"{where} in {label} ({listed(list(drivers))})")
    return [f"The floor's first dip lies at {'; '.join(parts)}."] if parts else []


def fine(value: float, unit: str) -> str:
    """A difference or an uncertainty with its unit, fine enough to tell the two apart."""
    return amount(value, unit, 1 if unit == "degree" else 2)
