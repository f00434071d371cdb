"""Files that appear under their name only when complete, and files of others read with care."""

from __future__ import annotations

import errno
import os
import re
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from acoustics.conventions import FileError, RoundoverError

WAYS_OUT = {
    errno.ENOSPC: "the disk is full: free some space on it, or write to another one",
    errno.EDQUOT: "your share of the disk is used up: free some of it, or write elsewhere",
    errno.EFBIG: "free some space, or lift the limit that this process or disk sets to files",
    errno.EROFS: "the disk may only be read: choose a folder on another one",
    errno.EACCES: "you may not write there: choose another folder, or have it opened to you",
    errno.EPERM: "it is protected: choose another folder, or have the protection taken off",
    errno.EISDIR: "a folder bears that name: move it away, or choose another folder",
    errno.ENAMETOOLONG: "choose a folder or a name that is shorter",
    errno.EIO: "the disk does not answer as it should: write to another one, and have it checked",
}
"""What a person can do, by what the system says is wrong."""

ANY_FOLDER = "choose a folder in which files can be made"

PART = re.compile(r"\.(?P<name>.+)\.(?P<process>[1-9]\d{0,9})\.part")
"""Name of a file that a process is writing, and that has not got its own name yet."""


@contextmanager
def complete_file(target: Path) -> Iterator[Path]:
    """A temporary path beside `target`; renamed to it when the block ends without an error.

    What was written is on the disk before it gets its name, so that even when the power fails
    there is either the file that was there or the new one, whole. Missing folders are made; parts
    of the same file that processes left which were killed are removed.

    Raises:
        RoundoverError: the file cannot be written. The one that was there is as it was.
    """
    part = target.with_name(f".{target.name}.{os.getpid()}.part")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        remove_left_parts(target.parent, target.name)
        yield part
        _put_on_disk(part)
        os.replace(part, target)
    except OSError as error:
        raise unwritable(target, error) from error
    finally:
        with suppress(OSError):  # where it cannot even be looked for, that has been said
            part.unlink(missing_ok=True)


def unwritable(place: Path, error: OSError) -> RoundoverError:
    """That a file or folder cannot be written, why, and what to do."""
    way_out = WAYS_OUT.get(error.errno or 0, ANY_FOLDER)
    return RoundoverError(f"{place}: cannot be written ({error.strerror or error}); {way_out}")


def remove_left_parts(folder: Path, name: str | None = None) -> None:
    """Remove parts, of the file of that name or of any, whose processes on this machine are gone.

    Where the folder cannot be looked through, or a part not be removed, they stay.
    """
    with suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            part = PART.fullmatch(entry.name)
            if part is None or name not in (None, part["name"]):
                continue
            if not _is_running(int(part["process"])):
                with suppress(OSError):
                    os.unlink(entry.path)


def _put_on_disk(part: Path) -> None:
    """Have the system write what it holds back; some only say here that the disk is full."""
    # Windows wants a file that may be written; elsewhere it may be protected from its owner.
    file = os.open(part, os.O_RDWR if os.name == "nt" else os.O_RDONLY)
    try:
        os.fsync(file)
    except OSError as error:
        if error.errno not in (errno.EINVAL, errno.ENOTSUP):  # some disks know no such thing
            raise
    finally:
        os.close(file)


def _is_running(process: int) -> bool:
    """Whether there is a process of that number; also where nobody here can tell."""
    if os.name == "nt":  # signal 0 would end it there
        return True
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except (OSError, OverflowError):  # somebody else's
        return True
    return True


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
