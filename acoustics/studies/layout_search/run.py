"""The search for a layout, from the question to the answer."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from acoustics.case.design.model import Case
from acoustics.case.design.place_model import Place, Quality, Treatment
from acoustics.case.text.phrases import listed
from acoustics.conventions import RoundoverError
from acoustics.field.plan import Progress
from acoustics.studies.driver_map.study import NULL
from acoustics.studies.kept_files import KeptFiles, kept_files
from acoustics.studies.layout_search.answer import Arranged, LayoutFound
from acoustics.studies.layout_search.figures import SENSE
from acoustics.studies.layout_search.freedom import freedom_of, within_of
from acoustics.studies.layout_search.front import ends_of, front_of, knee_of
from acoustics.studies.layout_search.kept import (
    KIND,
    Searched,
    about,
    arrays_of,
    searched_of,
)
from acoustics.studies.layout_search.optimiser import (
    FINISHED,
    GENERATIONS,
    SHORT,
    Archive,
    Optimiser,
    first_aim,
    judged_aims,
    not_beaten,
    second_aim,
    weighted,
)
from acoustics.studies.layout_search.question import checked_question, told_qualities
from acoustics.studies.layout_search.rounded import as_sawn
from acoustics.studies.layout_search.tabled import Tabled, tabled
from acoustics.studies.layout_search.variant import Variant, treated_cabinet, variant_of

WORK = "found"
"""Name of the folder of what has been found, in the folder of a search."""

WEIGHTS = tuple(n / 8 for n in range(1, 8))
"""of the aim, along the front"""

AROUND, FINE = 6e-3, 1.5e-3
"""m: how far round the best a finer lattice reaches, and its spacing"""

CROWDED = 40
"""layouts known to be good that a later search begins with, at most"""

LATTICES = 2
"""of those at most, one after the other, where the best lies at the end of one"""

CHECKED = 4
"""layouts of a variant that are solved by themselves to judge its tables"""

STEPS = 1000
"""parts in which progress is told"""

SHARES = {"solving": 0.25, "tables": 0.3, "search": 0.35}
"""of the time that one treatment takes, about; the rest goes into fields solved by themselves"""

LAST = 0.15
"""of all the time: figures, front and freedom"""


def search_layout(
    case: Case,
    question: Place | None = None,
    folder: str | Path | None = None,
    *,
    progress: Progress | None = None,
) -> LayoutFound:
    """Look for the layout that serves an aim best: places of drivers, corners, delays, edges.

    Everything a question lets change is changed together; the rest stays as the case has it.
    Fields of each moved driver are solved over its face once for every treatment of the edges, the
    listeners acting as sources, so that layouts by the thousand cost next to nothing. With acoustic
    slopes each layout gets filters of its own, and the latency, that a prediction would give it.

    As in a map, the reference axis and the seats stay where the case has them, so that all layouts
    are heard from the same points. Where the case's axis starts from a driver that moves
    ([reference] without a point), a case with the new places has its axis elsewhere: what is gained
    there, `predict` of both tells.

    A layout keeps to rules: frames (and `gap`) on the flat part of their face and clear of each
    other, of ports and of passive radiators; stated spans; `ear_height`; `apart`; and, where the
    walls' thickness is known, cut-outs clear of them. The present layout is always judged too; it
    is the answer where it keeps to the rules and nothing better is found.

    All over by differential evolution on tables of the field, then near by on a finer
    lattice of fields that are solved anew; figures are those of fields solved for the
    layouts told, rounded to 0.5 mm. Seeded: the same answer every time, on any number of cores.

    Args:
        case: the design.
        question: what may change, within what, judged by what; None for the case's own ([place]),
            or the usual: all drivers on the front move, ripple off axis decides.
        folder: where what is found for each treatment of the edges is kept (in its folder
            "found"), so that a search that was broken off goes on from there; None to keep nothing.
        progress: called from time to time with (parts done, all parts).

    Returns:
        The answer; `layout_dataset` makes a Dataset of it.

    Raises:
        RoundoverError: a question that this design cannot answer, rules between which no layout is
            left (those that conflict are named), or what the solver refuses.

    Example:
        >>> case = ac.read_case("cases/compact-centred")  # doctest: +SKIP
        >>> ac.search_layout(case).best.positions  # doctest: +SKIP
    """
    asked = checked_question(case, question)
    told = told_qualities(case, asked)
    treatments = _treatments(case, asked)
    work = None if folder is None else Path(folder) / WORK
    runs = []
    with kept_files(work, KIND, *about(case, asked)) as files:
        for number, treatment in enumerate(treatments):
            share = _shares(progress, number, len(treatments))
            variant = variant_of(case, asked, treatment, told, share("solving"))
            runs.append(_Run(variant, _known_or_searched(variant, files, share)))
        files.clear()
    own = runs[0].variant
    start_row = np.array([each.present for each in own.unknowns.variables])
    broken = own.broken(start_row)
    start = arranged(own, start_row, told)
    candidates = [
        (arranged(run.variant, run.found.best, told), run.variant, run.found.best) for run in runs
    ]
    sense, aim = SENSE[asked.aim], asked.aim
    front: tuple[Arranged, ...] = ()
    knee = None
    if asked.against is not None:
        known = [(run.variant, run.found.best) for run in runs]
        known += [] if broken else [(own, start_row)]
        judged = [(run.variant, run.found.rows, run.found.aims) for run in runs]
        layouts = front_of(judged, known)
        told_front = [(arranged(variant, row, told), variant, row) for variant, row in layouts]
        candidates += told_front
        aims = np.array(
            [
                [SENSE[name] * each.figures[name] for name in _aims(asked)]
                for each, _, _ in told_front
            ]
        )
        kept = not_beaten(aims)
        front = tuple(told_front[n][0] for n in kept)
        knee = knee_of(aims[kept])
    if not broken:
        candidates.insert(0, (start, own, start_row))
    # The first of equals: the present layout stays unless another is better.
    best, variant, row = min(candidates, key=lambda each: sense * each[0].figures[aim])
    freedom = freedom_of(variant, row)
    if progress is not None:
        progress(STEPS, STEPS)
    counts = [len(run.found.rows) for run in runs]
    senses = [SENSE[name] for name in _aims(asked)]
    return LayoutFound(
        question=asked,
        start=start,
        best=best,
        gain=sense * (start.figures[aim] - best.figures[aim]),
        broken=broken,
        front=front,
        knee=knee,
        freedom=freedom,
        within=within_of(best.figures[aim], sense),
        tried=sum(counts),
        deviation=max(run.found.deviation for run in runs),
        lattices=variant.allowed.lattices,
        names=tuple(each.name for each in own.unknowns.variables),
        treatments=treatments,
        archive=np.concatenate([run.found.rows for run in runs]),
        archive_aims=np.concatenate([run.found.aims for run in runs]) * senses,
        archive_treatment=np.repeat(np.arange(len(runs)), counts),
    )


def arranged(variant: Variant, row: np.ndarray, told: Sequence[Quality]) -> Arranged:
    """A layout with its figures, its fields solved for it alone."""
    found = variant.exactly(row[None], told)
    corners, delays = variant.unknowns.tuning(row)
    places = zip(variant.unknowns.sites, variant.unknowns.positions(row[None]), strict=True)
    return Arranged(
        positions={
            site.driver.name: (float(place[0, 0]), float(place[0, 1])) for site, place in places
        },
        corners=corners,
        delays={
            each.driver: value for each, value in zip(variant.asked.delays, delays, strict=True)
        },
        treatment=variant.treatment,
        figures={name: float(found[name][0]) for name in told},
    )


@dataclass(frozen=True)
class _Run:
    """What one treatment gave."""

    variant: Variant
    found: Searched


def _known_or_searched(variant: Variant, files: KeptFiles, share: _Shares) -> Searched:
    """What an earlier search found for one treatment, or what this one does."""
    known = files.read(variant.treatment)
    if known is not None:
        return searched_of(known)
    found = _searched(variant, share)
    files.write(arrays_of(found), variant.treatment)
    return found


def _searched(variant: Variant, share: _Shares) -> Searched:
    """Search one treatment: the aim, the other aim, and between the two."""
    asked, aims = variant.asked, _aims(variant.asked)
    tables = tabled(variant, aims, variant.allowed.boxes, progress=share("tables"))
    optimiser = Optimiser(tables, Archive(), np.random.default_rng(asked.seed))
    present = np.array([[each.present for each in variant.unknowns.variables]])
    known = present[: 0 if variant.broken(present[0]) else 1]
    if not len(known) and not len(optimiser.drawn(1)):
        raise _crowded(variant)
    told = share("search") or (lambda done, total: None)
    rounds = 1 if asked.against is None else 2 + len(WEIGHTS)
    optimiser.all_over(first_aim, known, GENERATIONS)
    best = optimiser.near_by(first_aim, optimiser.archive.best(first_aim, FINISHED))
    told(1, rounds)
    if asked.against is not None:
        optimiser.all_over(second_aim, optimiser.archive.best(second_aim, CROWDED), SHORT)
        optimiser.near_by(second_aim, optimiser.archive.best(second_aim, 1))
        told(2, rounds)
        ideal, scale = ends_of(optimiser.archive.all[1])
        for number, weight in enumerate(WEIGHTS):
            cost = weighted(weight, ideal, scale)
            optimiser.all_over(cost, optimiser.archive.best(cost, CROWDED), SHORT)
            told(3 + number, rounds)
    deviation = _deviation(tables, np.concatenate([best[None], optimiser.drawn(CHECKED)]))
    return Searched(_polished(variant, best, optimiser.draw), *optimiser.archive.all, deviation)


def _polished(variant: Variant, best: np.ndarray, draw: np.random.Generator) -> np.ndarray:
    """The best on finer lattices round it, rounded to what can be sawn."""
    for _ in range(LATTICES):
        narrow = variant.round_about(best, AROUND)
        boxes = narrow.allowed.boxes
        fine = tabled(narrow, (variant.asked.aim,), boxes, FINE)
        found = Optimiser(fine, Archive(), draw).near_by(first_aim, best[None])
        moved = np.abs(found - best)[: 2 * len(boxes)].max(initial=0.0)
        best = found
        if moved < AROUND - FINE:
            break
    return as_sawn(narrow, best, lambda rows: judged_aims(fine, rows)[:, 0])


def _deviation(tables: Tabled, rows: np.ndarray) -> float:
    """By how much levels of tables are off from layouts solved by themselves, dB at most.

    What is 20 dB below the largest is not compared.
    """
    variant, worst = tables.variant, 0.0
    for (mine, _), (free, _) in zip(tables.fields(rows), variant.exact_fields(rows), strict=True):
        truth = tables.cut(free)
        size = np.abs(truth)
        counts = size > NULL * size.max(axis=1, keepdims=True)
        apart = np.abs(20 * np.log10(np.abs(mine) / size))
        worst = max(worst, float(np.where(counts, apart, 0.0).max()))
    return worst


def _treatments(case: Case, asked: Place) -> tuple[Treatment | None, ...]:
    """The edges as they are first, then those that differ from them."""
    others = [
        each for each in asked.treatments if treated_cabinet(case.cabinet, each) != case.cabinet
    ]
    names = [each.name for each in others]
    twice = [name for name in dict.fromkeys(names) if names.count(name) > 1]
    if twice:
        raise RoundoverError(
            f"{case.path or case.title}: two treatments are called '{twice[0]}'; give each a name "
            "of its own"
        )
    return (None, *others)


def _aims(asked: Place) -> tuple[Quality, ...]:
    return (asked.aim,) if asked.against is None else (asked.aim, asked.against)


def _crowded(variant: Variant) -> RoundoverError:
    """Each driver has places, and each two of them, but not all together."""
    names = listed([f"'{site.driver.name}'" for site in variant.unknowns.sites])
    words = listed([rule.words for rule in variant.rules if len(rule.drivers) == 2])
    where = variant.case.path or variant.case.title
    return RoundoverError(
        f"{where}: no layout was found in which {names} keep to every rule together: {words}; "
        "allow more room: wider spans, a smaller gap, or a larger cabinet"
    )


_Shares = Callable[[str], Progress | None]


def _shares(progress: Progress | None, number: int, count: int) -> _Shares:
    """Progress of the parts of one treatment, as that of the whole."""

    def of(part: str) -> Progress | None:
        if progress is None:
            return None
        names = list(SHARES)
        before = sum(SHARES[name] for name in names[: names.index(part)])
        start = (number + before) / count * (1.0 - LAST)
        own = SHARES[part] / count * (1.0 - LAST)
        return lambda done, total: progress(int(STEPS * (start + own * done / total)), STEPS)

    return of
