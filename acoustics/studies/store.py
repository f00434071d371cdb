"""A folder of blocks from which a sweep that was broken off goes on.

Every block is a file of its own that appears under its name only when it is complete. The name
holds a digest of what the block answers and one of its content, so that a block of another sweep
is not taken, and a damaged one is found and computed again.
"""

from __future__ import annotations

import hashlib
import io
import json
import os
import re
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from acoustics.conventions import RoundoverError
from acoustics.files import complete_file, write_text
from acoustics.studies.sweep_work import Done

LAYOUT = 1
"""Counts up whenever the blocks' content is laid out otherwise."""

MANIFEST, LOCK = "store.json", "lock"
DIGITS = 32
"""of a digest in a file's name"""

_NAME = re.compile(rf"([0-9a-f]{{{DIGITS}}})-([0-9a-f]{{{DIGITS}}})\.npz")
_FIELD = "field "


@dataclass(frozen=True)
class Store:
    """A folder with the blocks of the sweep whose digest is `digest`; see `open_store`."""

    folder: Path
    digest: str

    def write(self, done: Done) -> Path:
        """Keep a block.

        Raises:
            RoundoverError: it cannot be written; those before it are safe.
        """
        content = io.BytesIO()
        fields = {f"{_FIELD}{name}": values for name, values in done.fields.items()}
        np.savez(
            content,
            numbers=np.array(done.numbers, dtype=np.int64),
            figures=done.figures,
            reasons=np.array(done.reasons, dtype=str),
            allow_pickle=False,
            **fields,
        )
        data = content.getvalue()
        name = f"{self._question(done.numbers)}-{_short(data)}.npz"
        with complete_file(self.folder / name) as part:
            part.write_bytes(data)
        return self.folder / name

    def blocks(self) -> Iterator[Done]:
        """Every sound block; damaged ones are removed."""
        for path in sorted(self.folder.glob("*.npz")):
            done = self._read(path)
            if done is None:
                path.unlink()
            else:
                yield done

    def _read(self, path: Path) -> Done | None:
        named = _NAME.fullmatch(path.name)
        data = path.read_bytes()
        if named is None or named[2] != _short(data):
            return None
        try:
            with np.load(io.BytesIO(data), allow_pickle=False) as content:
                arrays = dict(content)
        except (ValueError, zipfile.BadZipFile):
            return None
        numbers = tuple(int(number) for number in arrays["numbers"])
        if named[1] != self._question(numbers):
            return None
        fields = {
            name.removeprefix(_FIELD): values
            for name, values in arrays.items()
            if name.startswith(_FIELD)
        }
        reasons = tuple(str(reason) for reason in arrays["reasons"])
        return Done(numbers, arrays["figures"], reasons, fields)

    def _question(self, numbers: tuple[int, ...]) -> str:
        """Digest of what a block answers: which points of which sweep."""
        return _short(f"{self.digest} {' '.join(map(str, numbers))}".encode())


@contextmanager
def open_store(folder: Path, digest: str, who: str) -> Iterator[Store]:
    """Open the store of a sweep, or make it; nobody else can until it is left.

    Args:
        folder: where the blocks are.
        digest: of the sweep, its case and the numbers of solver, schema and layout.
        who: what the sweep is called in messages.

    Raises:
        RoundoverError: the folder cannot be written, another process is at work in it, or its
            blocks are those of another sweep.
    """
    with _only_one(folder):
        for left_over in folder.glob(".*.part"):
            left_over.unlink()
        manifest = folder / MANIFEST
        there = _digest_in(manifest)
        if there is None and any(folder.glob("*.npz")):
            there = "unknown"
        if there not in (None, digest):
            raise RoundoverError(
                f"{folder}: the blocks there belong to another sweep (digest {there}) than {who} "
                f"(digest {digest}): the case, its [sweep] or the program has changed since; write "
                f"to another folder with --out, undo the change, or remove {folder} to start anew"
            )
        if there is None:
            write_text(json.dumps({"digest": digest}) + "\n", manifest)
        yield Store(folder, digest)


@contextmanager
def _only_one(folder: Path) -> Iterator[None]:
    """Hold the folder's lock, which the system lifts when this process ends, however it does."""
    import fcntl  # not on every system; nothing else here needs it

    try:
        folder.mkdir(parents=True, exist_ok=True)
        lock = os.open(folder / LOCK, os.O_RDWR | os.O_CREAT, 0o666)
    except OSError as error:
        raise RoundoverError(
            f"{folder}: cannot be written ({error.strerror or error}); "
            "choose a folder in which files can be made"
        ) from error
    try:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            holder = os.pread(lock, 20, 0).decode(errors="replace").strip() or "unknown"
            raise RoundoverError(
                f"{folder}: another process (number {holder}) is at work on this sweep; wait for "
                "it, end it, or write to another folder with --out"
            ) from None
        os.ftruncate(lock, 0)
        os.pwrite(lock, f"{os.getpid()}\n".encode(), 0)
        yield
    finally:
        os.close(lock)


def _digest_in(manifest: Path) -> str | None:
    try:
        found = json.loads(manifest.read_text(encoding="utf-8"))
        return str(found["digest"])
    except FileNotFoundError:
        return None
    except (ValueError, KeyError, TypeError):
        return "unreadable"


def _short(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()[:DIGITS]
