"""Checks of [verification] against the drivers, the crossover and the frequencies of a case."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from acoustics.case.checks.fit_checks import band_problems
from acoustics.case.messages.faults import Problem
from acoustics.case.tables.sound import Values, sound_values
from acoustics.case.tables.table import Table
from acoustics.case.tables.verification_table import (
    TakenImpedanceTable,
    TakenResponseTable,
    VerificationTable,
)
from acoustics.case.text.lines import Path
from acoustics.case.text.phrases import choice
from acoustics.case.text.shown import short_name

AT: Path = ("verification",)


def verification_problems(
    data: Mapping[str, Any], drivers: Mapping[str, Values], grid: Values, faulty: list[Path]
) -> Iterator[Problem]:
    """Measurements of drivers that are not there, of no terminals, or outside the frequencies.

    Args:
        data: the case as it stands in the file.
        drivers: sound values of its drivers.
        grid: of its frequencies.
        faulty: keys that are known to be wrong.
    """
    raw = data.get("verification")
    values = sound_values(VerificationTable, raw, AT, faulty)
    if not values or not isinstance(raw, dict):
        return
    yield from band_problems((*AT, "band"), values.get("band"), grid)
    for path, own in _entries(raw, "responses", TakenResponseTable, faulty):
        yield from band_problems((*path, "band"), own.get("band"), grid)
        for key in ("playing", "reversed"):
            for place, name in enumerate(own.get(key) or []):
                if drivers and name not in drivers:
                    yield Problem(
                        (*path, key, place),
                        f"there is no driver '{short_name(name)}'; {choice(drivers, name)}",
                    )
    for path, own in _entries(raw, "impedances", TakenImpedanceTable, faulty):
        yield from band_problems((*path, "band"), own.get("band"), grid)
        yield from _driver_problems(path, own, data.get("crossover"), drivers)
    yield from _alike(raw)


def _entries(
    raw: Mapping[str, Any], key: str, table: type[Table], faulty: list[Path]
) -> Iterator[tuple[Path, Values]]:
    tables = raw.get(key)
    for name, each in tables.items() if isinstance(tables, dict) else ():
        path: Path = (*AT, key, name)
        yield path, sound_values(table, each, path, faulty)


def _driver_problems(
    path: Path, own: Values, crossover: object, drivers: Mapping[str, Values]
) -> Iterator[Problem]:
    """An impedance of a driver that is not there, or of terminals that the loudspeaker lacks."""
    if not drivers or "driver" not in own:
        return
    name = own["driver"]
    if name is not None and name not in drivers:
        yield Problem(
            (*path, "driver"), f"there is no driver '{short_name(name)}'; {choice(drivers, name)}"
        )
    if name is None and len(drivers) > 1 and not _is_passive(crossover):
        yield Problem(
            path,
            "no passive crossover joins the drivers to one pair of terminals; say at whose "
            f'terminals it was measured, for example driver = "{short_name(next(iter(drivers)))}"',
        )


def _is_passive(crossover: object) -> bool:
    branches = crossover.values() if isinstance(crossover, dict) else ()
    return any(isinstance(each, dict) and each.get("slopes") == "passive" for each in branches)


def _alike(raw: Mapping[str, Any]) -> Iterator[Problem]:
    """Files that stand twice, and names that are both a response's and an impedance's."""
    seen = dict[str, str]()
    names = set[str]()
    for key in ("responses", "impedances"):
        tables = raw.get(key)
        for name, each in tables.items() if isinstance(tables, dict) else ():
            path: Path = (*AT, key, name)
            if name in names:
                yield Problem(
                    path, f"a response is called '{short_name(name)}' too; give it another name"
                )
            names.add(name)
            file = each.get("file") if isinstance(each, dict) else None
            if not isinstance(file, str):
                continue
            if file in seen:
                yield Problem(
                    (*path, "file"),
                    f"{seen[file]} names this file already; name the one that was measured for "
                    "this",
                )
            seen.setdefault(file, f"{key}.{short_name(name)}")
