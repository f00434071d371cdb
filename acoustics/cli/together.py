"""Files of one command that belong together, and a sign where they may not."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from acoustics.files import unwritable, write_text


@contextmanager
def together(folder: Path) -> Iterator[Path]:
    """Write all files of the running command; a note lies in the folder until they are all there.

    Each file is the old one or the new one. Where a command ends in between, the note stays and
    says that they may be of two runs, until the same command has written them all.

    Yields:
        The note.

    Raises:
        RoundoverError: the note cannot be written, and no file has been, or not be removed.
    """
    command = click.get_current_context().command.name or "roundover"
    note = folder / sign_of(command)
    write_text(_said(command), note)
    yield note
    try:
        note.unlink(missing_ok=True)
    except OSError as error:
        raise unwritable(note, error) from error


def sign_of(command: str) -> str:
    """What the note of a command is called."""
    return f"UNFINISHED-{command}.txt"


def _said(command: str) -> str:
    return (
        f"`roundover {command}` is writing to this folder, or was ended while it did.\n\n"
        "If it is no longer running: each file is whole, but some may be of this run and some of "
        "an earlier one, so do not take them for one result. Run the same command again; when it "
        "is done this note is gone.\n"
    )
