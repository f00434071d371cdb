"""A comparison in words: whether it can be heard, and which design is better for what."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import xarray as xr

from acoustics.listening import AimVerdict, Held
from acoustics.listening.bounce import HIGHEST
from acoustics.listening.surfaces import deeper
from acoustics.studies.comparison.audible import NOTICED, Audible, Difference
from acoustics.studies.wording import amount, beam, dip_depth, hertz, listed, number, quoted, tally
from acoustics.studies.yardsticks.qualities import Ranking
from acoustics.studies.yardsticks.rated_figures import UNCERTAINTY
from acoustics.studies.yardsticks.table import place_words


def sentences_of(
    labels: Sequence[str],
    audible: Audible | None,
    rankings: Sequence[Ranking],
    verdicts: Sequence[Sequence[AimVerdict]],
    answers: Sequence[xr.Dataset],
    held: Sequence[Sequence[Held]] = (),
) -> tuple[str, ...]:
    """The verdict first, then what builds hide, briefs and aims, left against right, and dips.

    Args:
        labels: a name for each design.
        audible: whether they can be heard apart.
        rankings: how they stand in each quality.
        verdicts: their aims, judged.
        answers: their numbers, cut down to what they have in common.
        held: their briefs, held against them; empty if there are none.
    """
    in_figures = "In figures alone: " if audible is not None and audible.is_audible is False else ""
    return (
        f"{heard_apart(audible)} {in_figures}{overall(labels, rankings)}",
        *hidden(rankings),
        *briefs(labels, held),
        *aims(labels, verdicts),
        *sides(labels, answers),
        *dips(labels, answers),
    )


def heard_apart(audible: Audible | None) -> str:
    """Whether the designs sound different and by how much: at the main seat first.

    Held against builds, it is what they leave of a difference that decides.
    """
    if audible is None:
        return "Whether the designs can be heard apart is not known; see the notes."
    differences = audible.differences
    doubt = max(each.uncertainty for each in differences)
    built = audible.most.stays is not None
    sure = f"uncertainty {amount(doubt, 'dB', finer=1)}"
    beyond = " beyond what builds stray by" if built else ""
    how = "smoothed by 1/3 octave and played equally loud, the designs differ"
    least = f"about {NOTICED:g} dB is the least that is noticed"
    if audible.is_audible:
        told = [each for each in differences if each.main]
        others = [each for each in differences if not each.main]
        told += sorted((d for d in others if d.counted >= NOTICED), key=lambda d: -d.largest)
        small = f"less than {NOTICED:g} dB elsewhere" if len(told) < len(differences) else ""
        sizes = listed([*map(_size, told), *([small] if small and not built else [])])
        if small and built:
            sizes += f"; builds leave {small}"
        verdict = (
            f"An audible difference{beyond} is to be expected{_at_main(audible)}: {how} by {sizes} "
            f"({sure})."
        )
    else:
        most = [_largest([each for each in differences if each.main]), audible.most]
        if built:
            most.append(max(differences, key=lambda each: each.counted))
        told = list(dict.fromkeys(each for each in most if each is not None))
        sizes = listed([f"by at most {_size(each)}" for each in told])
        verdict = f"No audible difference expected{beyond}"
        if audible.is_audible is None:
            verdict = (
                f"Whether a difference{beyond} can be heard is too close to call"
                if built
                else "Whether the difference can be heard is too close to call"
            )
        verdict = f"{verdict}: {how} {sizes} ({sure}), and {least}."
    if audible.louder < NOTICED:
        return verdict
    return (
        f"{verdict} On the reference axis their mean levels differ by "
        f"{amount(audible.louder, 'dB')}, which the volume control makes good."
    )


def _at_main(audible: Audible) -> str:
    """What the main seat does not share of a difference that is heard somewhere."""
    if not any(each.main for each in audible.differences) or audible.heard_at_main:
        return ""
    if audible.heard_at_main is None:
        return " (too close to call at the main seat)"
    return ", but not at the main seat"


def _largest(differences: Sequence[Difference]) -> Difference | None:
    return max(differences, key=lambda each: each.largest, default=None)


def _size(difference: Difference) -> str:
    """A difference and where: "2.1 dB at 3.2 kHz at the main seat in free space"."""
    small = difference.largest < 2 * NOTICED
    heard_by = f" ({difference.listener})" if difference.listener else ""
    left = ""
    if difference.stays is not None:
        stays = amount(difference.counted, "dB", finer=int(small))
        left = f" (builds leave {stays if difference.counted > 0 else 'nothing'})"
    return (
        f"{amount(difference.largest, 'dB', finer=int(small))} at {hertz(difference.frequency)} "
        f"{difference.place}{heard_by}{left}"
    )


def overall(labels: Sequence[str], rankings: Sequence[Ranking]) -> str:
    """Who leads in how many of the qualities."""
    apart = [ranking for ranking in rankings if not ranking.draw]
    if not rankings:
        return "Nothing could be compared; see the notes."
    if not apart and any(ranking.left for ranking in rankings):
        return (
            "None is better: in every quality the difference is within what builds stray by "
            f"({len(rankings)} qualities compared)."
        )
    if not apart:
        return (
            "None is better: in every quality the difference is smaller than the uncertainty "
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
        parts.append(f"in {alike} they cannot be told apart")
    return f"{'; '.join(parts)}."


def hidden(rankings: Sequence[Ranking]) -> list[str]:
    """What is apart as it was calculated, but within what builds stray by."""
    told = [
        f"{ranking.quality.name.split(' (')[0]} "
        f"{amount(ranking.behind(far), ranking.quality.unit, finer=1)}"
        for ranking in rankings
        if ranking.hidden
        for far in [max(range(len(ranking.values)), key=ranking.behind)]
    ]
    if not told:
        return []
    return [f"Calculated apart, but holes, parts and drivers stray by more: {listed(told)}."]


def briefs(labels: Sequence[str], held: Sequence[Sequence[Held]]) -> list[str]:
    """How much of its own brief each design meets, and what it does not."""
    return [
        f"{label} {tally(points_of(each), [(one.verdict, one.name) for one in each])}."
        for label, each in zip(labels, held, strict=bool(held))
        if each
    ]


def points_of(held: Sequence[Held]) -> str:
    """How many points a brief has: "the 3 points of its brief"."""
    return (
        "the one point of its brief" if len(held) == 1 else f"the {len(held)} points of its brief"
    )


def aims_of(verdicts: Sequence[AimVerdict]) -> str:
    """How many aims a design has: "its 3 aims"."""
    return "its one aim" if len(verdicts) == 1 else f"its {len(verdicts)} aims"


def aims(labels: Sequence[str], verdicts: Sequence[Sequence[AimVerdict]]) -> list[str]:
    """How many of its own aims each design meets, which it misses, and which cannot be judged."""
    return [
        f"{label} {tally(aims_of(own), [(one.state, quoted(one.aim.name)) for one in own])}."
        for label, own in zip(labels, verdicts, strict=True)
        if own
    ]


def figure(ranking: Ranking, design: int) -> str:
    """A design's number in a quality: "1.2 dB", "at least 0.84 m", "all round"."""
    value, quality = ranking.values[design], ranking.quality
    if quality.answer == "least_beamwidth":
        return beam(value)
    if quality.answer == "deepest_dip_depth":
        return dip_depth(value, ranking.uncertainties[design])
    least = "at least " if ranking.at_least[design] else ""
    return f"{least}{amount(value, quality.unit, finer=quality.finer)}"


def sides(labels: Sequence[str], answers: Sequence[xr.Dataset]) -> list[str]:
    """The ripple at each angle to the left and to the right."""
    if any(each.side_ripple.isnull().any() for each in answers):
        return []
    angles = [place_words("side_angle", angle) for angle in answers[0].side_angle.values]
    each = [f"{listed([number(v, 'dB') for v in one.side_ripple.values])} dB" for one in answers]
    return [f"Ripple {listed(angles)}: {each_of(labels, each)}."]


def dips(labels: Sequence[str], answers: Sequence[xr.Dataset]) -> list[str]:
    """Where each surface's first dip lies at the main seat, and which driver plays there.

    The deepest one is told only where it is deeper than the first.
    """
    if not all("dip_driver" in each for each in answers):
        return []
    who = str(answers[0].listener.values[0])
    heard_by = f" ({who})" if who else ""
    sentences = []
    for words, tell in (
        (f"First dip{heard_by}", _first_dips),
        (f"Deepest dip up to {hertz(HIGHEST)}{heard_by}", _deepest_dips),
    ):
        told = []
        for surface in answers[0].surface.values:
            texts = [tell(each.isel(listener=0).sel(surface=surface)) for each in answers]
            if any(texts):
                told.append(f"{surface} {each_of(labels, texts, ', ')}")
        if told:
            sentences.append(f"{words}: {'; '.join(told)}.")
    return sentences


def each_of(labels: Sequence[str], texts: Sequence[str], between: str = "; ") -> str:
    """What is told of each design, once where it is the same for all."""
    if len(set(texts)) == 1:
        return f"{texts[0]} in {'both' if len(labels) == 2 else 'all'} designs"
    pairs = zip(texts, labels, strict=True)
    return between.join(f"{text} in {who}" for text, who in pairs if text)


def _first_dips(answers: xr.Dataset) -> str:
    return f"at {where}" if (where := _dips(answers, "dip")) else ""


def _deepest_dips(answers: xr.Dataset) -> str:
    if not deeper(answers).any():
        return ""
    depths = answers.deepest_dip_depth.values.ravel()
    doubts = answers[f"deepest_dip_depth{UNCERTAINTY}"].values.ravel()
    most = int(np.nanargmax(depths))
    depth = dip_depth(float(depths[most]), float(doubts[most]))
    return f"{depth} at {_dips(answers, 'deepest_dip')}"


def _dips(answers: xr.Dataset, name: str) -> str:
    """Where a surface's dips lie over the ear heights: "280 to 338 Hz (woofer)"."""
    frequency = answers[f"{name}_frequency"].values
    if np.isnan(frequency).all():
        return ""
    low, high = np.nanmin(frequency), np.nanmax(frequency)
    where = f"{low:.0f} Hz" if high - low < 1 else f"{low:.0f} to {high:.0f} Hz"
    drivers = dict.fromkeys(str(driver) for driver in answers[f"{name}_driver"].values if driver)
    return f"{where} ({listed(list(drivers))})"
