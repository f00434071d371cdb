"""Builds computed so far, in a folder, so that a study that was broken off goes on from there."""

from __future__ import annotations

import hashlib
import io
import zipfile
from pathlib import Path

import numpy as np

from acoustics.conventions import SCHEMA, SOLVER
from acoustics.files import write_bytes
from acoustics.studies.remembered import field_digest
from acoustics.studies.tolerance.work import Done, Question, Task

LAYOUT = 2
"""Counts up whenever what is computed of a build, or the files, change."""

DIGITS = 32
"""of a digest in a file's name"""

_CURVE = "curve "


class Kept:
    """A folder with one file for every task, named by digests of the question and of its content.

    Like that of a fit and the store of a sweep; files of other questions are removed at the end.
    """

    def __init__(self, folder: Path, question: Question) -> None:
        self.folder = folder
        self._question = field_digest(
            SCHEMA,
            SOLVER,
            LAYOUT,
            question.makings.case.digest,
            question.makings.spreads,
            question.makings.fixed,
            question.told,
            question.makings.nearby,
        )
        self._names = set[str]()

    def read(self, task: Task) -> Done | None:
        """An answer; None where there is none or its file is damaged."""
        for path in sorted(self.folder.glob(f"{self._name(task)}-*.npz")):
            try:
                data = path.read_bytes()
                if path.stem.split("-")[1] != _short(data):
                    continue
                with np.load(io.BytesIO(data), allow_pickle=False) as content:
                    arrays = dict(content)
            except (OSError, ValueError, zipfile.BadZipFile):
                continue
            self._names.add(path.name)
            curves = {
                name.removeprefix(_CURVE): values
                for name, values in arrays.items()
                if name.startswith(_CURVE)
            }
            return Done(curves, arrays["figures"], tuple(map(str, arrays["reasons"])))
        return None

    def write(self, task: Task, done: Done) -> None:
        """Keep an answer.

        Raises:
            RoundoverError: it cannot be written; those before it are safe.
        """
        content = io.BytesIO()
        curves = {f"{_CURVE}{name}": values for name, values in done.curves.items()}
        reasons = np.array(done.reasons, dtype=str)
        np.savez(content, figures=done.figures, reasons=reasons, allow_pickle=False, **curves)
        data = content.getvalue()
        name = f"{self._name(task)}-{_short(data)}.npz"
        self._names.add(name)
        write_bytes(data, self.folder / name)

    def clear(self) -> None:
        """Remove the answers to questions no longer asked."""
        for path in self.folder.glob("*.npz"):
            if path.name not in self._names:
                path.unlink(missing_ok=True)

    def _name(self, task: Task) -> str:
        return field_digest(self._question, task)[:DIGITS]


def _short(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()[:DIGITS]
