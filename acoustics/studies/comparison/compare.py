"""Which of several designs is better for what, or that they cannot be told apart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import xarray as xr

from acoustics.case.design.model import BAND, Case
from acoustics.conventions import RoundoverError
from acoustics.listening import AimVerdict, Held, hold, judge_aims
from acoustics.listening.error import FLOOR, level_uncertainty
from acoustics.prediction import predict
from acoustics.studies.build_pairs import BuildPairs, about_builds, build_pairs
from acoustics.studies.comparison.audible import Audible, Built, audible
from acoustics.studies.comparison.caveats import caveats
from acoustics.studies.comparison.common import common_ground
from acoustics.studies.comparison.verdicts import sentences_of
from acoustics.studies.labels import labels_of, require_different
from acoustics.studies.yardsticks.listening_positions import positions_of
from acoustics.studies.yardsticks.qualities import Ranking, qualities_for, rank
from acoustics.studies.yardsticks.rated_figures import numbers_of
from acoustics.studies.yardsticks.table import comparison_table


@dataclass(frozen=True)
class Comparison:
    """Several designs held against each other.

    `labels` name the designs; `titles`, `predictions`, `verdicts` on their aims and `held`, on
    their briefs, follow their order. `table` is `comparison_table`; `ear_heights` (m)
    are those common to all; `audible` tells whether they sound different, None where that is not
    known; `rankings` say who is best in what; `sentences` say both in words, the verdict first;
    `notes` say what could not be compared, or only with care. `pairs` are the builds that
    differences were held against, None for none.
    """

    labels: tuple[str, ...]
    titles: tuple[str, ...]
    predictions: tuple[xr.Dataset, ...]
    verdicts: tuple[tuple[AimVerdict, ...], ...]
    table: xr.Dataset
    ear_heights: tuple[float, ...]
    audible: Audible | None
    rankings: tuple[Ranking, ...]
    sentences: tuple[str, ...]
    notes: tuple[str, ...]
    held: tuple[tuple[Held, ...], ...] = ()
    pairs: BuildPairs | None = None


def compare(
    cases: Sequence[Case],
    predictions: Sequence[xr.Dataset] | None = None,
    *,
    tolerance: bool = False,
    builds: int | None = None,
    workers: int | None = None,
    **how: Any,
) -> Comparison:
    """Compare designs by their first answers.

    A difference counts where it is larger than the uncertainties of the two numbers together;
    these rest on the field solver's own error estimate, with a floor of 0.1 dB for levels. What
    is not the same in all designs (seats, ear heights, surfaces, crossovers, frequencies) is left
    out and noted.

    With `tolerance` a difference must also be larger than builds stray by. Some builds of each
    design are computed, listener and room the same in those of like number, the cabinets each by
    themselves; where 0 lies in the band of the differences between them, it is no difference. And
    one is only heard where the whole band lies beyond what is noticed. Spreads and band are those
    of each case's table [tolerance], or else the usual ones.

    Args:
        cases: two or more designs.
        predictions: theirs, in the same order; predicted here if left out.
        tolerance: whether differences are held against builds.
        builds: how many of each design; as many as the band takes if left out.
        workers: processes for builds; one for each core if left out, 0 for none but this one. A
            script that has any calls this under ``if __name__ == "__main__":``.
        how: handed to `predict`; builds heed `solve` and `progress`.

    Raises:
        RoundoverError: fewer than two designs, the same one twice, or predictions of other designs
            or by different versions of the field solver; builds that cannot be.

    Example:
        >>> cases = [ac.read_case(f"cases/compact-{way}") for way in ("centred", "offset")]
        >>> print(compare(cases).sentences[0])  # doctest: +SKIP
    """
    if len(cases) < 2:
        raise RoundoverError("a comparison takes at least two designs; name another case")
    require_different(cases)
    if predictions is None:
        predictions = [predict(case, **how) for case in cases]
    if len(predictions) != len(cases):
        raise RoundoverError(
            f"{len(cases)} designs but {len(predictions)} predictions were given; give one for each"
        )
    _require_one_solver(predictions)
    labels = labels_of(cases)
    pairs = list(zip(cases, predictions, strict=True))
    numbers = [numbers_of(case, each) for case, each in pairs]
    shared, left_out = common_ground(labels, predictions, numbers)
    verdicts = tuple(judge_aims(case, each) for case, each in pairs)
    held = tuple(hold(case, each) for case, each in pairs)
    positions = positions_of(predictions)
    built: BuildPairs | None = None
    table = comparison_table(labels, shared)
    if tolerance:
        built = build_pairs(
            cases,
            predictions,
            numbers,
            positions,
            builds=builds,
            workers=workers,
            progress=how.get("progress"),
            solve=how.get("solve"),
        )
        own, _ = common_ground(labels, predictions, built.numbers)
        table = comparison_table(labels, shared, own, built.band)
    surfaces = shared[0].surface.values if "surface" in shared[0].dims else ()
    ranked = [rank(table, quality) for quality in qualities_for([str(name) for name in surfaces])]
    rankings = tuple(ranking for ranking in ranked if ranking is not None)
    played = None if built is None else Built(built.levels, built.band)
    apart = audible(predictions, positions, played)
    return Comparison(
        labels=labels,
        titles=tuple(case.title for case in cases),
        predictions=tuple(predictions),
        verdicts=verdicts,
        table=table,
        ear_heights=tuple(shared[0].ear_height.values) if "ear_height" in shared[0] else (),
        audible=apart,
        rankings=rankings,
        sentences=sentences_of(labels, apart, rankings, verdicts, shared, held),
        notes=(
            *caveats(labels, cases, predictions, numbers),
            *left_out,
            *([] if built is None else about_builds(labels, built)),
            _doubt(predictions, built is not None),
        ),
        held=held,
        pairs=built,
    )


def _require_one_solver(predictions: Sequence[xr.Dataset]) -> None:
    solvers = sorted({str(each.attrs.get("solver", "unknown")) for each in predictions})
    if len(solvers) > 1:
        raise RoundoverError(
            f"the predictions were made by different versions of the field solver "
            f"({', '.join(solvers)}), so they cannot be compared; predict the cases again"
        )


def _doubt(predictions: Sequence[xr.Dataset], on_builds: bool) -> str:
    worst = max(level_uncertainty(prediction, BAND) for prediction in predictions)
    estimate = (
        f"the field solver's own error estimate (at most {worst:.2f} dB here)"
        if worst > FLOOR / 2
        else f"a floor of {FLOOR:g} dB, the field solver's own error estimate being smaller"
    )
    if on_builds:
        return (
            f"Uncertainties cover what builds stray by, and where that is less, {estimate}; what "
            "has no spread of its own does not stray."
        )
    return (
        f"Uncertainties rest on {estimate}; they cover the calculation only, not the spread of "
        "real drivers, parts and saw cuts."
    )
