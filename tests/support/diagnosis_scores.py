"""How well diagnoses did on builds of known truth, against what they must reach."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.stats import binom

from support.judged_builds import Judged

BINS = 10
OFF = 0.1

FIRST, FIRST_THREE, FLAGGED, UNKNOWN, CALIBRATION, SECONDS = 0.95, 0.99, 0.02, 0.8, 0.1, 5.0
SIZED = 0.95
"""Share of faults named first whose size is within `OFF` of it."""

LUCK = 0.01
"""Chance that a diagnosis which just reaches a share is refused, where few builds are judged."""


@dataclass(frozen=True)
class Scores:
    """Counts as (of which, of how many); `members` and `calibration` are means."""

    first: tuple[int, int]
    first_three: tuple[int, int]
    sized: tuple[int, int]
    changed: tuple[int, int]
    covered: tuple[int, int]
    flagged: tuple[int, int]
    undecided: tuple[int, int]
    unknown: tuple[int, int]
    members: float
    calibration: float
    seconds: tuple[float, float]


def scores_of(builds: Sequence[Judged]) -> Scores:
    """What diagnoses of builds come to.

    Of faults: whether their class comes first, ahead of the design and of the unknown too, and
    whether it is among the first three classes; of those first, whether the size is within a tenth
    of itself, within a tenth of the change, and within the stated 95 %. `flagged` are sound builds
    that are said to have a fault, or something unknown; `undecided` sound ones that are neither
    that nor said to be sound. `seconds` are the median and the
    95th percentile of a diagnosis.
    """
    faulty = [one for one in builds if one.truth.kind not in ("healthy", "unlisted")]
    healthy = [one for one in builds if one.truth.kind == "healthy"]
    unlisted = [one for one in builds if one.truth.kind == "unlisted"]
    first = [one for one in faulty if one.right]
    third = [one for one in faulty if (place := one.right_at()) is not None and place < 3]
    offs = np.array([off for one in first if (off := one.off) is not None]).reshape(-1, 2)
    flags = [one.verdict == "fault" or one.verdict.startswith("none") for one in healthy]
    unsure = [one.verdict == "not sure" for one in healthy]
    seconds = [one.seconds for one in builds] or [0.0]
    members = [len(one.causes[0][0]) for one in first]
    inside = [_inside(one) for one in first if one.off is not None]
    return Scores(
        (len(first), len(faulty)),
        (len(third), len(faulty)),
        (int((offs[:, 0] <= OFF).sum()), len(offs)),
        (int((offs[:, 1] <= OFF).sum()), len(offs)),
        (sum(inside), len(inside)),
        (sum(flags), len(healthy)),
        (sum(unsure), len(healthy)),
        (sum(one.verdict.startswith("none") for one in unlisted), len(unlisted)),
        float(np.mean(members)) if members else 0.0,
        calibration_error(
            np.array([one.confidence for one in builds]), np.array([one.right for one in builds])
        ),
        (float(np.median(seconds)), float(np.percentile(seconds, 95))),
    )


def calibration_error(confidence: np.ndarray, right: np.ndarray) -> float:
    """Expected calibration error: by how much confidence differs from the share that is right.

    In `BINS` bins of equal width, weighted by how many fall into each (Naeini, Cooper &
    Hauskrecht, AAAI 2015, 2901; from memory).
    """
    if not confidence.size:
        return 0.0
    bins = np.minimum((confidence * BINS).astype(int), BINS - 1)
    error = 0.0
    for number in range(BINS):
        inside = bins == number
        if inside.any():
            error += inside.mean() * abs(confidence[inside].mean() - right[inside].mean())
    return float(error)


def missed(scores: Scores, few: bool = False) -> list[str]:
    """Which goals are missed, in words; with `few` builds none that bad luck may explain."""
    shares = {
        "right class first": (scores.first, FIRST),
        "right class in the first three": (scores.first_three, FIRST_THREE),
        "size within a tenth": (scores.sized, SIZED),
        "sound builds left alone": (_rest(scores.flagged), 1 - FLAGGED),
        "unlisted faults called unknown": (scores.unknown, UNKNOWN),
    }
    found = [
        f"{name}: {reached} of {many}, not {goal:.0%}"
        for name, ((reached, many), goal) in shares.items()
        if many and (binom.cdf(reached, many, goal) < LUCK if few else reached < goal * many)
    ]
    if scores.calibration > CALIBRATION + (0.1 if few else 0.0):
        found.append(f"calibration error: {scores.calibration:.3f}, not {CALIBRATION}")
    if not few and scores.seconds[1] > SECONDS:
        found.append(f"core seconds: {scores.seconds[1]:.1f}, not {SECONDS}")
    return found


def _rest(count: tuple[int, int]) -> tuple[int, int]:
    return count[1] - count[0], count[1]


def _inside(one: Judged) -> bool:
    found, size = one.found, one.true_size
    if found is None or found.low is None or found.high is None or size is None:
        return False
    if one.truth.names == ("sideways",):
        low, high = sorted((abs(found.low), abs(found.high)))
        return low <= abs(size) <= high
    return found.low <= size <= found.high
