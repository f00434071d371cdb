"""Answers kept in a folder, from which a study that was broken off goes on.

Every answer is a file of its own that appears under its name only when it is complete. The name
holds a digest of what was asked and one of what the file holds: so an answer to another question is
never taken, a damaged one is noticed, and no list of files can be lost or wrong.
"""

from __future__ import annotations

import hashlib
import io
import logging
import re
import zipfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

import numpy as np

from acoustics.conventions import SCHEMA, SOLVER
from acoustics.files import write_bytes
from acoustics.folders import only_one
from acoustics.studies.remembered import field_digest

Arrays = dict[str, np.ndarray]

DIGITS = 32
"""of a digest in a file's name"""

_log = logging.getLogger(__name__)


class KeptFiles:
    """Answers of one kind in a folder; None for a folder keeps nothing. See `kept_files`."""

    def __init__(self, folder: Path | None, kind: str, *about: object) -> None:
        self.folder, self._kind = folder, kind
        self._about = field_digest(SCHEMA, SOLVER, kind, *about)
        self._asked = set[str]()
        self._name = re.compile(rf"{kind}-([0-9a-f]{{{DIGITS}}})-([0-9a-f]{{{DIGITS}}})\.npz")

    def read(self, *asked: object) -> Arrays | None:
        """The answer to a question; None where there is none, or none that is sound."""
        question = self._question(asked)
        self._asked.add(question)
        for path in self._files(question):
            arrays = self._sound(path)
            if arrays is not None:
                return arrays
        return None

    def write(self, arrays: Mapping[str, np.ndarray], *asked: object) -> None:
        """Keep the answer to a question.

        Raises:
            RoundoverError: it cannot be written; those before it are safe.
        """
        if self.folder is None:
            return
        content = io.BytesIO()
        np.savez(content, **arrays)  # type: ignore[arg-type]
        data, question = content.getvalue(), self._question(asked)
        self._asked.add(question)
        write_bytes(data, self.folder / f"{self._kind}-{question}-{_short(data)}.npz")

    def every(self, asked_by: Callable[[Arrays], tuple[object, ...]]) -> Iterator[Arrays]:
        """All sound answers; `asked_by` tells what one answers, which must be what its name says.

        For answers to questions that nobody knows beforehand.
        """
        for path in self._files("*"):
            arrays = self._sound(path)
            if arrays is None:
                continue
            if path.name.split("-")[1] == self._question(asked_by(arrays)):
                yield arrays
            else:
                _damaged(path)

    def clear(self) -> None:
        """Remove the answers to questions that were not asked."""
        for path in self._files("*"):
            if path.name.split("-")[1] not in self._asked:
                path.unlink(missing_ok=True)

    def _files(self, question: str) -> list[Path]:
        if self.folder is None:
            return []
        found = self.folder.glob(f"{self._kind}-{question}-*.npz")
        return sorted(path for path in found if self._name.fullmatch(path.name))

    def _question(self, asked: tuple[object, ...]) -> str:
        return field_digest(self._about, *asked)[:DIGITS]

    def _sound(self, path: Path) -> Arrays | None:
        """What a file holds, or None, once that is told, where it is damaged."""
        try:
            data = path.read_bytes()
            if path.stem.split("-")[2] == _short(data):
                with np.load(io.BytesIO(data), allow_pickle=False) as content:
                    return dict(content)
        except (OSError, ValueError, zipfile.BadZipFile):
            pass
        _damaged(path)
        return None


@contextmanager
def kept_files(folder: Path | None, kind: str, *about: object) -> Iterator[KeptFiles]:
    """Open a folder of answers, or make it; nobody else can until it is left.

    Args:
        folder: where the files are; None keeps nothing.
        kind: what they are called.
        about: what all questions share. The numbers of schema and solver are always part of it;
            add one that counts up whenever answers are found or laid out otherwise.

    Raises:
        RoundoverError: the folder cannot be written, or another process is at work in it.
    """
    if folder is None:
        yield KeptFiles(None, kind, *about)
        return
    with only_one(folder):
        yield KeptFiles(folder, kind, *about)


def named_with(prefix: str, arrays: Arrays) -> Arrays:
    """The arrays whose names begin so, by the rest of their names."""
    return {
        name.removeprefix(prefix): values
        for name, values in arrays.items()
        if name.startswith(prefix)
    }


def _damaged(path: Path) -> None:
    """Tell that a file is damaged, and remove it if that can be done."""
    _log.warning("%s: this file is damaged, so what it held is computed anew", path)
    with suppress(OSError):
        path.unlink()


def _short(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()[:DIGITS]
