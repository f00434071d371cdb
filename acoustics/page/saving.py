"""What was set on the page, written into the case file, without losing what others wrote."""

from __future__ import annotations

import os
import stat
from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path

from acoustics.case.design.model import Case
from acoustics.case.read import case_of_text
from acoustics.conventions import CaseError, RoundoverError
from acoustics.files import complete_file
from acoustics.page.clashes import clashes
from acoustics.page.reading import Reading, digest_of, text_now
from acoustics.page.words import words_of
from acoustics.studies.live.draft import Draft
from acoustics.studies.live.saving import keys_between, saved_text

BOM = b"\xef\xbb\xbf"
"""with which some editors begin a file; it stays"""

ANYBODY_WRITES = stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH


@dataclass(frozen=True)
class Saved:
    """The file as it is now; `keys` are those that were written, with their text.

    `base` is what the tab had read, with what it changed: what others changed meanwhile stands in
    the file and not in it, so that it stays theirs when the tab saves again.
    """

    seen: str
    keys: dict[str, str]
    base: Reading
    others: bool
    """whether others changed the file meanwhile"""


@dataclass(frozen=True)
class Clash:
    """Keys that both changed, as key → (mine, theirs); nothing is written."""

    seen: str
    keys: dict[str, tuple[str, str]]


def save(base: Reading, draft: Draft, over: Collection[str], knowing: str) -> Saved | Clash:
    """Write what a draft changes of the case that a tab had read; other keys stay as they are now.

    Two programs that write in the same instant cannot be kept apart by any means that all editors
    heed; the file is looked at again directly before the new one takes its place.

    Args:
        base: what the tab had read.
        draft: what is set in it.
        over: keys whose newer value in the file may be replaced …
        knowing: … if the file is still the one with this digest.

    Raises:
        RoundoverError: the file cannot be read, is no valid case now or would be none then, or
            cannot be written. It is untouched then.
    """
    file = base.file.resolve()  # what a link leads to is written, and the link stays
    now = text_now(file)
    mine = _with(base.text, base, draft)
    wanted = keys_between(base.text, mine)
    against = clashes(wanted, _theirs(base, now))
    free = set(over) if digest_of(now) == knowing else set[str]()
    if not against.keys() <= free:
        return Clash(digest_of(now), against)
    if not wanted:
        return Saved(digest_of(now), {}, base, now != base.text)
    others = now != base.text
    known = Reading(_valid(base.file, mine), mine)
    _replace(file, now, _with(now, base, draft) if others else mine)
    keys = {key: text for key, (_, text) in wanted.items()}
    return Saved(digest_of(text_now(file)), keys, known, others)


def _with(text: str, base: Reading, draft: Draft) -> str:
    folder = base.file.parent
    return saved_text(text, base.case, draft, (folder, folder))


def _theirs(base: Reading, now: str) -> dict[str, tuple[str, str]]:
    """What somebody else changed; refuses a file that is in the middle of being changed."""
    if now == base.text:
        return {}
    try:
        case_of_text(base.file, now)
    except CaseError as error:
        raise RoundoverError(
            f"{base.file.name} is no valid case as it stands now, so nothing was written. Put it "
            f"right, then save again: {_faults(error)}"
        ) from None
    return keys_between(base.text, now)


def _valid(file: Path, text: str) -> Case:
    """The case of a text that is to be written."""
    try:
        return case_of_text(file, text)
    except CaseError as error:
        raise RoundoverError(
            f"with these values {file.name} would be no valid case, so nothing was written: "
            f"{_faults(error)}"
        ) from None


def _faults(error: CaseError) -> str:
    return "; ".join(words_of(error))


def _replace(file: Path, before: str, text: str) -> None:
    """Put a new text in place of the one before, as soon as it is read back as a valid case."""
    mode = stat.S_IMODE(file.stat().st_mode)
    if not (mode & ANYBODY_WRITES and os.access(file, os.W_OK)):
        raise RoundoverError(
            f"{file.name} may not be written; nothing was. Take its write protection off, then "
            "save again"
        )
    begins = BOM if file.read_bytes().startswith(BOM) else b""
    with complete_file(file) as part:
        part.write_bytes(begins + text.encode())
        part.chmod(mode)
        _valid(file, text_now(part))
        if text_now(file) != before:
            raise RoundoverError(
                f"{file.name} was changed in this very moment; nothing was written. Save again"
            )
