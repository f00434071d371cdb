"""The folder a command writes to, checked before any work is done."""

from __future__ import annotations

import os
from pathlib import Path

from acoustics.conventions import RoundoverError


def writable_folder(folder: Path) -> Path:
    """Make the folder if need be and try it with an empty file.

    Raises RoundoverError where no file can be made in it.
    """
    trial = folder / f".trial.{os.getpid()}.part"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        trial.touch()
        trial.unlink()
    except OSError as error:
        raise RoundoverError(
            f"{folder}: files cannot be written there ({error.strerror or error}); "
            "choose another folder with --out"
        ) from error
    return folder
