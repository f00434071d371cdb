"""Files that appear under their name only when they are complete."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from acoustics.conventions import RoundoverError


@contextmanager
def complete_file(target: Path) -> Iterator[Path]:
    """A temporary path beside `target`; renamed to it when the block ends without an error.

    Missing folders are made. Raises RoundoverError where the file cannot be written.
    """
    part = target.with_name(f".{target.name}.{os.getpid()}.part")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        yield part
        os.replace(part, target)
    except OSError as error:
        raise RoundoverError(
            f"{target}: cannot be written ({error.strerror or error}); "
            "choose a folder in which files can be made"
        ) from error
    finally:
        if part.parent.is_dir():
            part.unlink(missing_ok=True)


def write_text(text: str, target: Path) -> Path:
    """Write UTF-8 text, its line ends as they are."""
    with complete_file(target) as part:
        part.write_bytes(text.encode())
    return target
