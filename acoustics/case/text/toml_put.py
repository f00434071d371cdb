"""Values put into a TOML document by their paths, its comments kept where they belong."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import Any

import tomlkit
from tomlkit.container import Container
from tomlkit.items import AoT, Comment, InlineTable, Table, Whitespace

from acoustics.conventions import RoundoverError


def put_value(document: Any, key: str, value: str | float) -> None:
    """Set a key by its path, as messages write it; tables on its way are made.

    Raises:
        RoundoverError: an entry of a list that is not there.
    """
    here, way = document, key.split(".")
    for part, after in itertools.pairwise(way):
        if isinstance(here, list | AoT):
            here = here[_entry(here, part, key)]
            continue
        if part not in here:
            if after.isdecimal():
                raise RoundoverError(f"'{key}': the case file has no such list; write it there")
            add_key(here, part, _new_table(here))
        here = here[part]
    last = way[-1]
    if isinstance(here, list | AoT):
        here[_entry(here, last, key)] = value
    elif last in here:
        here[last] = value
    else:
        add_key(here, last, tomlkit.item(value))


def _new_table(inside: Any) -> Table | InlineTable:
    """An empty table as it can be added: with a heading, or in braces among a table's keys.

    A heading would take all keys below it into the new table.
    """
    if isinstance(inside, InlineTable | Table):
        body = inside.value.body if isinstance(inside, Table) else []
        headed = [isinstance(item, Table) and not key.is_dotted() for key, item in body if key]
        if not (headed and all(headed)):
            return tomlkit.inline_table()
    return tomlkit.table()


def _entry(there: Sequence[Any], part: str, key: str) -> int:
    if not (part.isdecimal() and 1 <= int(part) <= len(there)):
        raise RoundoverError(
            f"'{key}': the case file's list has {len(there)} entries, counted from 1"
        )
    return int(part) - 1


def add_key(table: Any, key: str, item: Any) -> None:
    """Add a key to a table, before the comments at its end."""
    after = before_the_next(table)
    if after:
        del table.value.body[-len(after) :]
    table[key] = item
    for each in after:
        table.add(each)


def before_the_next(table: Any) -> list[Comment | Whitespace]:
    """The comments and empty lines at the end of a table, which speak of what comes next."""
    found = list[Comment | Whitespace]()
    for key, item in reversed(table.value.body if isinstance(table, Table) else []):
        if key is not None or not isinstance(item, Comment | Whitespace):
            break
        found.append(item)
    return found[::-1]


def take_out(table: Any, key: str) -> None:
    """Take a key out, if it is there; comments at the end of its tables stay in its place."""
    if table is None or key not in table:
        return
    within = table.value if isinstance(table, Table) else table
    if not isinstance(within, Container):
        del table[key]  # in braces, or scattered over the file
        return
    places = [i for i, (name, _) in enumerate(within.body) if name is not None and name.key == key]
    kept = [_tail(within.body[i][1]) for i in places]
    within.remove(key)
    for place, text in zip(places, kept, strict=True):
        within.body[place] = (None, Whitespace(text))


def take_entry_out(tables: Any, index: int) -> None:
    """Take one of several tables of a list out; comments at its end go to the one before it."""
    text = _tail(tables[index])
    del tables[index]
    if isinstance(tables, AoT) and tables.body:
        tables.body[max(index - 1, 0)].add(Whitespace(text))


def _tail(item: Any) -> str:
    """The comments and empty lines at the end of a table, or of the last one in it."""
    if isinstance(item, AoT):
        return _tail(item.body[-1]) if item.body else ""
    if not isinstance(item, Table):
        return ""
    inner = [each for key, each in item.value.body if key is not None]
    if inner and isinstance(inner[-1], AoT | Table):
        return _tail(inner[-1])
    return "".join(each.as_string() for each in before_the_next(item))
