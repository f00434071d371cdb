"""A comparison in words: which design is better for what."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import xarray as xr

from acoustics.listening import AimVerdict
from acoustics.listening.floor_bounce import HIGHEST
from acoustics.studies.floor import deeper
from acoustics.studies.qualities import Quality, Ranking
from acoustics.studies.wording import amount, beam, hertz, listed


def sentences_of(
    labels: Sequence[str],
    rankings: Sequence[Ranking],
    verdicts: Sequence[Sequence[AimVerdict]],
    answers: Sequence[xr.Dataset],
) -> tuple[str, ...]:
    """The verdict first, then the aims, then one sentence per quality and on the floor's dips.

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
        *floor_dips(labels, answers),
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
    degree = "better" if len(labels) == 2 else "best"
    for i, label in enumerate(labels):
        alone = [ranking.quality.name.split(" (")[0] for ranking in apart if ranking.best == (i,)]
        if alone:
            parts.append(f"{label} is {degree} in {len(alone)} of {len(rankings)}: {listed(alone)}")
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
    quality, unit = ranking.quality, ranking.quality.unit
    name = f"{quality.name[0].upper()}{quality.name[1:]}"
    pairs = zip(labels, ranking.values, strict=True)
    each = [f"{who} ({_figure(value, quality)})" for who, value in pairs]
    everyone = range(len(labels))
    if ranking.draw:
        far = max(everyone, key=ranking.behind)
        return (
            f"{name}: {', '.join(each)}; the difference, "
            f"{amount(ranking.behind(far), unit, finer=1)}, is smaller than the uncertainty, "
            f"{amount(ranking.doubt(far), unit, finer=1)}."
        )
    others = [i for i in everyone if i not in ranking.best]
    nearest = min(others, key=ranking.behind)
    least = " at least" if len(others) > 1 else ""
    by = (
        f"by{least} {amount(ranking.behind(nearest), unit, finer=1)} "
        f"(uncertainty {amount(ranking.doubt(nearest), unit, finer=1)})"
    )
    behind = listed([each[i] for i in others])
    if len(ranking.best) == 1:
        return f"{name}: {each[ranking.first]} is better than {behind}, {by}."
    alike = listed([each[i] for i in ranking.best if i != ranking.first])
    return (
        f"{name}: {each[ranking.first]}, which cannot be told from {alike}, is better than "
        f"{behind}, {by}."
    )


def _figure(value: float, quality: Quality) -> str:
    if quality.answer == "least_beamwidth":
        return beam(value)
    return amount(value, quality.unit, finer=quality.finer)


def floor_dips(labels: Sequence[str], answers: Sequence[xr.Dataset]) -> list[str]:
    """Where the floor's dips lie in each design, and which driver plays there.

    The deepest one is told only where it is deeper than the first.
    """
    if not all("dip_driver" in each for each in answers):
        return []
    pairs = list(zip(labels, answers, strict=True))
    first = [_dips(label, each, "dip") for label, each in pairs]
    deepest = [
        f"{_dips(label, each, 'deepest_dip')}, "
        f"{amount(float(each.deepest_dip_depth.max()), 'dB')} deep"
        for label, each in pairs
        if deeper(each).any()
    ]
    sentences = []
    if any(first):
        sentences.append(f"The floor's first dip lies at {'; '.join(filter(None, first))}.")
    if deepest:
        sentences.append(f"Its deepest up to {hertz(HIGHEST)} lies at {'; '.join(deepest)}.")
    return sentences


def _dips(label: str, answers: xr.Dataset, name: str) -> str:
    """Where a design's dips lie over its ear heights: "280 to 338 Hz in left (woofer)"."""
    dips = answers[f"{name}_frequency"].values
    if np.isnan(dips).all():
        return ""
    low, high = np.nanmin(dips), np.nanmax(dips)
    where = f"{low:.0f} Hz" if high - low < 1 else f"{low:.0f} to {high:.0f} Hz"
    drivers = dict.fromkeys(str(driver) for driver in answers[f"{name}_driver"].values if driver)
    return f"{where} in {label} ({listed(list(drivers))})"
