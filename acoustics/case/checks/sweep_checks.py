"""Checks of [sweep] against the case it stands in: its keys, names and values."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from acoustics.case.messages.faults import Problem
from acoustics.case.messages.sweep_paths import UnknownKeyError, path_to
from acoustics.case.messages.why_not import why_not
from acoustics.case.tables.sound import sound_entries
from acoustics.case.tables.sweep_table import (
    DrawnTable,
    OverTable,
    dimension_of,
    name_of,
    values_of,
)
from acoustics.case.text.lines import Path
from acoustics.case.text.shown import short_name
from acoustics.case.text.written import as_written

MOST_TRIED = 100
"""values of one key that are tried before a sweep; of more, the ends of the list"""

RESERVED = ("sample", "aim", "complex")
"""Names that the answer's own dimensions have."""

SHAPES = ("frequencies", "arcs", "seat.ear_heights")
"""Keys that change what fields are given over."""


def sweep_problems(data: dict[str, Any]) -> Iterator[Problem]:
    """What is wrong with the keys of a sweep whose tables by themselves are in order.

    `data` is the whole case as TOML gives it.
    """
    raw = data.get("sweep")
    if not isinstance(raw, dict):
        return
    sample = raw.get("sample")
    drawn = sample.get("over") if isinstance(sample, dict) else None
    if not raw.get("over") and sample is None:
        yield Problem(
            ("sweep",), "the sweep has no keys; add them in tables [[sweep.over]], each with a key"
        )
    case = {key: value for key, value in data.items() if key != "sweep"}
    names, taken = set(RESERVED), set[str]()
    tables: list[tuple[Path, OverTable | DrawnTable]] = [
        *sound_entries(OverTable, raw.get("over"), ("sweep", "over")),
        *sound_entries(DrawnTable, drawn, ("sweep", "sample", "over")),
    ]
    for path, table in tables:
        if name_of(table) in names:
            yield Problem(
                (*path, "name"),
                f"'{name_of(table)}' is taken; give the key another name in the data",
            )
        names.add(name_of(table))
        keys: list[tuple[str, Path]] = [(table.key, (*path, "key"))]
        keys += [(key, (*path, "also", i)) for i, key in enumerate(table.also or ())]
        for key, at in keys:
            if key in taken:
                yield Problem(at, f"'{short_name(key)}' is swept twice; keep one of the two")
                continue
            taken.add(key)
            yield from _key_problems(case, key, at, path, table)
            if raw.get("keep") == "fields" and key.startswith(SHAPES):
                yield Problem(
                    at,
                    f"'{short_name(key)}' changes what fields are given over; sweep it with "
                    'keep = "figures"',
                )


def _key_problems(
    case: dict[str, Any], key: str, at: Path, path: Path, table: OverTable | DrawnTable
) -> Iterator[Problem]:
    """A key that is none, and values that it cannot take."""
    try:
        where, node = path_to(key, case)
    except UnknownKeyError as error:
        yield Problem(at, str(error))
        return
    for value, place in _tried(table):
        written = as_written(value, dimension_of(table), node.get("type") == "integer")
        if reason := why_not(case, key, where, written):
            told = "" if len(table.also or ()) == 0 else f"{short_name(key)}: "
            yield Problem((*path, *place), f"{told}{reason}")
            return


def _tried(table: OverTable | DrawnTable) -> Iterator[tuple[float, Path]]:
    """Values and where they stand in the table."""
    if isinstance(table, OverTable) and table.values is not None:
        values = values_of(table)
        half = MOST_TRIED // 2
        some = range(len(values))
        for i in some if len(values) <= MOST_TRIED else [*some[:half], *some[-half:]]:
            yield values[i], ("values", i)
    else:
        yield float(table.start.value), ("start",)
        yield float(table.stop.value), ("stop",)
