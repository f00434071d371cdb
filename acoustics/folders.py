"""Folders in which one process works at a time."""

from __future__ import annotations

import errno
import logging
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from acoustics.conventions import RoundoverError
from acoustics.files import remove_left_parts, unwritable

HELD = (errno.EAGAIN, errno.EACCES)
"""What the system says of a lock that somebody else holds (POSIX.1)."""

_log = logging.getLogger(__name__)


@contextmanager
def only_one(folder: Path, way_out: str = "work in another folder") -> Iterator[None]:
    """Hold a folder, made if need be, so that nobody else can; parts that were left are removed.

    The folder itself is locked, so no file is left lying, and the system lifts the lock when this
    process ends, however it does. Where disks or systems have no such locks the work goes on, and
    it is said that nobody is kept out.

    Raises:
        RoundoverError: another process is at work there, or the folder cannot be made. The first
            ends in `way_out`.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise unwritable(folder, error) from error
    lock = _locked(folder, way_out)
    try:
        remove_left_parts(folder)
        yield
    finally:
        if lock is not None:
            os.close(lock)


def _locked(folder: Path, way_out: str) -> int | None:
    """What holds the lock until it is closed; None where there are none."""
    lock = None
    try:
        import fcntl  # not on every system

        lock = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except (ImportError, OSError) as error:
        if lock is not None:
            os.close(lock)
        if isinstance(error, OSError) and error.errno in HELD and lock is not None:
            raise RoundoverError(
                f"{folder}: this folder is in use: another process of roundover is at work in it; "
                f"wait until it is done, end it, or {way_out}"
            ) from None
        _log.warning(
            "%s: folders cannot be locked there, so see to it that nothing else works in it "
            "meanwhile",
            folder,
        )
        return None
    return lock
