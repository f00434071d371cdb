"""A draft written into the file of its case, and what differs between two states of a file."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import tomlkit

from acoustics.case.design.model import Case
from acoustics.case.messages.faults import key_text
from acoustics.case.rewritten import edited_text
from acoustics.case.text.led_on import led_on_text
from acoustics.case.text.lines import Path as KeyPath
from acoustics.conventions import RoundoverError
from acoustics.studies.live.draft import Draft
from acoustics.studies.live.drafts import changed_keys, edges_of


def saved_text(text: str, case: Case, draft: Draft, folders: tuple[Path, Path]) -> str:
    """The text of a case file with what a draft changes, and nothing else, put in.

    What was written into the file since the case was read stays, comments too.

    Args:
        text: of the file as it is now.
        case: as it was when the draft was begun.
        draft: of that case. One that `why_not` finds fault with makes a text that may be refused.
        folders: of the file and of the one that is written; paths in it lead on.

    Raises:
        RoundoverError: a file that is no TOML any more, or lacks a list in which a value goes.
        GeometryError: as `edges_of`.
    """
    _read(text)
    new = edited_text(text, changed_keys(case, draft), edges=edges_of(case, draft))
    if folders[0].resolve() != folders[1].resolve():
        new = led_on_text(tomlkit.parse(new), *folders)
    return new


def keys_between(old_text: str, new_text: str) -> dict[str, tuple[str, str]]:
    """The keys of a case file that differ between two texts of it: what each has, "" for nothing.

    Entries of lists count from 1; text stands as it is, other values as TOML writes them.

    Raises:
        RoundoverError: a text that is no TOML.
    """
    old, new = (dict(_flat(_read(text), ())) for text in (old_text, new_text))
    both = {key: (old.get(key, ""), new.get(key, "")) for key in {**old, **new}}
    return {key_text(key): pair for key, pair in both.items() if pair[0] != pair[1]}


def _read(text: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise RoundoverError(
            f"the case file is no TOML text any more ({error}); mend it in an editor first"
        ) from error


def _flat(value: object, path: KeyPath) -> Iterator[tuple[KeyPath, str]]:
    """Every value that holds no others, with its path; an empty list is one."""
    if isinstance(value, dict) and (value or not path):
        for key, inner in value.items():
            yield from _flat(inner, (*path, key))
    elif isinstance(value, list) and value:
        for place, inner in enumerate(value):
            yield from _flat(inner, (*path, place))
    else:
        yield path, value if isinstance(value, str) else json.dumps(value, default=str)
