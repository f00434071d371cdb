"""Files that appear under their name only when complete, and files of others read with care."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from acoustics.conventions import FileError, RoundoverError


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
    return write_bytes(text.encode(), target)


def write_bytes(data: bytes, target: Path) -> Path:
    """Write bytes as they are."""
    with complete_file(target) as part:
        part.write_bytes(data)
    return target


def content(file: Path, most_bytes: int, way_out: str, error: type[FileError] = FileError) -> bytes:
    """All bytes of a regular file of at most that size, or an `error` that ends in `way_out`."""
    try:
        if file.is_dir():
            raise error(f"is a folder; {way_out}", str(file))
        if not file.exists():
            raise error("there is no such file; check the path", str(file))
        if not file.is_file():  # reading from a pipe or a device may never end
            raise error(f"is no regular file; {way_out}", str(file))
        size = file.stat().st_size
        if size > most_bytes:
            raise error(
                f"has {size / 1e6:.0f} MB, at most {most_bytes / 1e6:.0f} are read; {way_out}",
                str(file),
            )
        return file.read_bytes()
    except (OSError, ValueError) as failure:
        reason = getattr(failure, "strerror", None) or failure
        raise error(f"cannot be read ({reason}); check the path", str(file)) from failure
