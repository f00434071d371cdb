"""The values of a case file that are free of faults, even where their neighbours are not.

Checks across tables work on these, so that one mistake does not hide another.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from contextlib import suppress
from functools import cache
from typing import Annotated, Any, TypeVar

from pydantic import BaseModel, TypeAdapter, ValidationError

from acoustics.case.tables.table import Table
from acoustics.case.text.lines import Path

T = TypeVar("T", bound=Table)

Values = dict[str, Any]
"""Keys and checked values of one table, defaults included; a key with a fault is left out."""


def sound_values(table: type[Table], raw: object, at: Path, faulty: Collection[Path]) -> Values:
    """The sound values of the table that stands at path `at`; empty if it is none.

    Likewise if a table of the file itself is missing or misspelt: its defaults are not meant; and
    within a list or table that is too long, whose entries nobody has looked at.
    """
    around = (at[:length] for length in range(1, max(len(at), 2)))
    if not isinstance(raw, dict) or any(each in faulty for each in around):
        return {}
    left_out = {path[len(at)] for path in faulty if len(path) > len(at) and path[: len(at)] == at}
    return {
        key: _reader(table, key).validate_python(raw.get(key, field.default))
        for key, field in table.model_fields.items()
        if key not in left_out and (key in raw or not field.is_required())
    }


def sound_entries(of: type[T], raw: object, at: Path) -> Iterator[tuple[Path, T]]:
    """Those tables of a list at path `at` that have no faults of their own, and their paths."""
    for index, each in enumerate(raw if isinstance(raw, list) else []):
        with suppress(ValidationError):
            yield (*at, index), of.model_validate(each)


@cache
def _reader(table: type[BaseModel], key: str) -> TypeAdapter[Any]:
    field = table.model_fields[key]
    described: Any = Annotated[field.annotation, field]
    return TypeAdapter(described)
