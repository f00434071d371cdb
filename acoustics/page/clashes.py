"""Where two have changed the same of a file."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from acoustics.case.tables.cabinet_table import EDGES

Changes = Mapping[str, tuple[str, str]]
"""key path, as messages write it → (text before, text now); "" where there is none"""

WRITTEN_WHOLE = tuple(f"cabinet.{key}" for key in EDGES)
"""lists of which a draft writes all entries or none"""

_ENTRY = re.compile(r"\.[0-9]+(?=\.|$)")


def clashes(mine: Changes, theirs: Changes) -> dict[str, tuple[str, str]]:
    """What both changed, and not to the same: key → (mine, theirs).

    An entry of a list that has got or lost entries may be another than it was, and clashes too.

    Args:
        mine: changed by one, from the text that both began with.
        theirs: likewise by the other.
    """
    found = {}
    for key, (_, wanted) in mine.items():
        if key in theirs:
            if theirs[key][1] != wanted:
                found[key] = wanted, theirs[key][1]
        elif (other := _moved(key, theirs)) is not None:
            found[key] = wanted, f"'{other}' has other entries now"
    return found


def _moved(key: str, theirs: Changes) -> str | None:
    """The list round a key that the other side has made another; None if there is none."""
    for listed in _lists(key):
        for other, pair in theirs.items():
            if other.startswith(f"{listed}.") and (listed in WRITTEN_WHOLE or "" in pair):
                return listed
    return None


def _lists(key: str) -> Iterator[str]:
    """The lists on the way to a key."""
    for entry in _ENTRY.finditer(key):
        yield key[: entry.start()]
