"""The folder a command writes to, checked before any work is done."""

from __future__ import annotations

import os
import warnings
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import click

from acoustics.conventions import RoundoverError
from acoustics.files import remove_left_parts
from acoustics.folders import only_one

FIGURES = "figures"
"""Name of the folder of pictures inside the one a command writes to."""


MISSING_SIGN = r"Glyph \d+ .*missing from"
"""how the plotting library begins to warn of a letter that its font does not have"""


def overlook_missing_signs() -> None:
    """Say nothing, in this process, of letters that a figure's font does not have.

    Names may be in any script. A box stands for such a letter in figures, texts keep it, and nobody
    who runs a command can do anything about a line of warning for each.
    """
    warnings.filterwarnings("ignore", MISSING_SIGN, UserWarning)


def folder_option(default: str | None) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """The option --out, described with its default; None where nothing is written without it."""

    def named(_: click.Context, __: click.Parameter, value: str | None) -> Path | None:
        if value is not None and not value.strip():
            raise click.BadParameter("give the name of a folder, or leave --out away")
        return None if value is None else Path(value)

    return click.option(
        "--out",
        type=click.Path(),
        metavar="DIR",
        callback=named,
        help=f"Folder to write to.  [default: {f'roundover-out/{default}' if default else 'none'}]",
    )


def writable_folder(
    folder: Path, *files: str, figures: bool = True, inside: tuple[str, ...] = ()
) -> Path:
    """Make the folder, its folder of `figures` and those `inside` if need be, and try them all.

    Until the command ends, no other can write there.

    Raises RoundoverError where no file can be made in them, where a folder bears the name of one of
    the `files` to come, or where another command is at work.
    """
    _try(folder)
    hold(folder)
    for name in (*([FIGURES] if figures else []), *inside):
        _try(folder / name)
        remove_left_parts(folder / name)
    for name in files:
        if (folder / name).is_dir():
            raise RoundoverError(
                f"{folder / name}: a folder stands where a file is to be written; "
                "move it away or choose another folder with --out"
            )
    return folder


def hold(folder: Path) -> None:
    """Keep other commands out of a folder until the one that runs now ends."""
    command = click.get_current_context().find_root()
    command.with_resource(only_one(folder, "write to another folder with --out"))


def _try(place: Path) -> None:
    """Make a folder if need be, and try it with an empty file."""
    trial = place / f".trial.{os.getpid()}.part"
    try:
        place.mkdir(parents=True, exist_ok=True)
        trial.touch()
    except OSError as error:
        raise RoundoverError(
            f"{place}: files cannot be written there ({error.strerror or error}); "
            "choose another folder with --out"
        ) from error
    finally:
        with suppress(OSError):
            trial.unlink(missing_ok=True)


def require_another(given: Path, written: Path) -> None:
    """Refuse to write over the file that was given.

    Raises:
        RoundoverError: both are one file.
    """
    if written.exists() and written.samefile(given):
        raise RoundoverError(
            f"{written}: the new case would take the place of the one that was given; choose "
            "another folder with --out"
        )
