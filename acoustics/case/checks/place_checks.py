"""Checks of [place] against the rest of the case: drivers, aims, corners, delays and edges."""

from __future__ import annotations

import statistics
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from acoustics.cabinet.names import face_words
from acoustics.case.checks.fit_checks import band_problems
from acoustics.case.checks.hand_overs import Band, Pair, band_of, crossovers_of_pairs, pairs_of
from acoustics.case.checks.outside import Outside, outside_of
from acoustics.case.design.section_model import Section
from acoustics.case.messages.faults import Problem
from acoustics.case.objects.sections_of import sections_of
from acoustics.case.tables.crossover_tables import BranchTable
from acoustics.case.tables.place_table import PlaceTable, TreatmentTable
from acoustics.case.tables.section_tables import BandPassTable, PassTable
from acoustics.case.tables.sound import Values, sound_values
from acoustics.case.text.lines import Path
from acoustics.case.text.phrases import choice, listed
from acoustics.case.text.shown import short_name
from acoustics.case.text.units import hertz
from acoustics.conventions import GeometryError

AT: Path = ("place",)
OTHERS = '"ripple off axis", "common ripple" or "sides"'


def place_table_problems(
    data: Mapping[str, Any],
    outside: Outside,
    drivers: Mapping[str, Values],
    grid: Values,
    faulty: list[Path],
) -> Iterator[Problem]:
    """What [place] asks that this case cannot answer; nothing where it has no such table.

    Args:
        data: the whole case as TOML gives it.
        outside: of the cabinet, as far as it is sound.
        drivers: the sound values of the drivers, their faces by name.
        grid: those of [frequencies].
        faulty: keys that are wrong themselves.
    """
    if not isinstance(data.get("place"), dict):
        return
    place = sound_values(PlaceTable, data["place"], AT, faulty)
    raw = data.get("crossover", {})
    branches = {
        name: sound_values(BranchTable, branch, ("crossover", name), faulty)
        for name, branch in (raw.items() if isinstance(raw, dict) else ())
    }
    for key in ("drivers", "delays"):
        for name in place.get(key) or {}:
            if drivers and name not in drivers:
                yield Problem(
                    (*AT, key, name),
                    f"'{short_name(name)}' names no driver; {choice(drivers, name)}",
                )
    yield from _aim_problems(place, branches, drivers, no_floor="floor" not in data)
    yield from band_problems((*AT, "band"), place.get("band"), grid)
    yield from _corner_problems(place.get("corners") or (), branches, drivers)
    yield from _delay_problems(place.get("delays") or {}, branches)
    yield from _treatment_problems(place.get("treatments") or (), outside, drivers)


def _aim_problems(
    place: Values, branches: Mapping[str, Values], drivers: Mapping[str, Values], *, no_floor: bool
) -> Iterator[Problem]:
    """Aims that cannot be told, or that every layout meets alike."""
    if not {"aim", "against"} <= place.keys():
        return
    slopes = {branches[name].get("slopes") if name in branches else "none" for name in drivers}
    for key, aim in (("aim", place["aim"]), ("against", place["against"])):
        if aim == "floor dip" and no_floor:
            yield Problem(
                (*AT, key),
                "there is no floor to make a dip; add a table [floor] or write another, such as "
                f"{OTHERS}",
            )
        elif aim == "ripple on axis" and slopes == {"acoustic"}:
            yield Problem(
                (*AT, key),
                "with acoustic slopes the computed filters make the reference axis as it is to be "
                f"wherever the drivers are; write another, such as {OTHERS}",
            )


def _corner_problems(
    spans: Sequence[list[float]], branches: Mapping[str, Values], drivers: Mapping[str, Values]
) -> Iterator[Problem]:
    """Spans for corners that are not there, or not as many as there are crossovers."""
    if not spans or not drivers or any(branches[name].keys() != BRANCH for name in branches):
        return
    passive = [name for name in drivers if branches.get(name, {}).get("slopes") == "passive"]
    bands = [
        band_of(_passes(branches[name]["sections"])) if name in branches else Band()
        for name in drivers
    ]
    found = crossovers_of_pairs(pairs_of(bands))
    at: Path = (*AT, "corners")
    if passive and not found:
        yield Problem(
            at,
            f"the crossover of {listed([short_name(name) for name in passive])} is passive and "
            "has no corner to move: its parts decide; leave the key out and fit the parts to the "
            "layout found (roundover crossover), or search with electrical or acoustic slopes "
            "first",
        )
    elif len(spans) != len(found):
        yield Problem(
            at,
            f"there {_are(len(spans), 'span')}, and the sections of the drivers make "
            f"{_made(found)}; write one [lowest, highest] for each, from the lowest on, or leave "
            "the key out",
        )


BRANCH = BranchTable.model_fields.keys()
"""Of a branch without faults."""


def _passes(sections: Sequence[object]) -> tuple[Section, ...]:
    """Those sections of a branch that have corners."""
    passes = [each for each in sections if isinstance(each, PassTable | BandPassTable)]
    return sections_of(passes, ())


def _are(count: int, what: str) -> str:
    return f"is 1 {what}" if count == 1 else f"are {count} {what}s"


def _made(found: Sequence[Sequence[Pair]]) -> str:
    if not found:
        return "no crossover, as no low-pass goes with a high-pass of another driver"
    means = [statistics.geometric_mean(pair.frequency for pair in each) for each in found]
    at = listed([hertz(float(f"{mean:.3g}")) for mean in means])
    return f"{len(found)} crossover{'' if len(found) == 1 else 's'}, at {at}"


def _delay_problems(
    delays: Mapping[str, list[float]], branches: Mapping[str, Values]
) -> Iterator[Problem]:
    for name in delays:
        if branches.get(name, {}).get("slopes") == "passive":
            yield Problem(
                (*AT, "delays", name),
                f"the crossover of '{short_name(name)}' is passive and cannot delay; leave the "
                "driver out here, or bring it back by moving it, or by another face",
            )


def _treatment_problems(
    treatments: Sequence[TreatmentTable], outside: Outside, drivers: Mapping[str, Values]
) -> Iterator[Problem]:
    """Treatments of one name, and edges that this cabinet has not or that leave no face."""
    names = set[str]()
    for index, treatment in enumerate(treatments):
        at: Path = (*AT, "treatments", index)
        if treatment.name in names:
            yield Problem(
                (*at, "name"),
                f"another treatment is called '{treatment.name}' too; give each its own name",
            )
        names.add(treatment.name)
        if outside.solid is None:
            continue
        edges = {"chamfers": treatment.chamfers or None, "rounds": treatment.rounds or None}
        treated, problems = outside_of({**outside.values, **edges})
        # Of these the cabinet itself has told what does not come from its edges.
        own = [each for each in problems if len(each.path) > 1 and each.path[1] in edges]
        yield from (Problem((*at, *each.path[1:]), each.message) for each in own)
        if not problems:
            yield from _lost_faces(at, treated, drivers)


def _lost_faces(at: Path, treated: Outside, drivers: Mapping[str, Values]) -> Iterator[Problem]:
    """Drivers that sit on a cut which the treatment takes away."""
    for name, driver in drivers.items():
        if "face" not in driver or treated.faces is None:
            continue
        try:
            treated.index(driver["face"])
        except GeometryError:
            yield Problem(
                (*at, "name"),
                f"'{short_name(name)}' sits on the {face_words(driver['face'])}, which is not "
                "there with these edges; let the treatment cut that edge too, or leave it out",
            )
