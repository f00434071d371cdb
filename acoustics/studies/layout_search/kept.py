"""What a search has found so far, in a folder, so that one that was broken off goes on from there.

The longest part of a search is kept for each treatment of the edges; fields are solved anew.
"""

from __future__ import annotations

import re
import zipfile
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from acoustics.case.model import Case
from acoustics.case.place_model import Place, Treatment
from acoustics.conventions import SCHEMA, SOLVER
from acoustics.files import complete_file
from acoustics.studies.remembered import field_digest

LAYOUT = 1
"""Counts up whenever the search or its files change."""

DIGITS = 32
"""of a digest in a file's name"""


@dataclass(frozen=True)
class Searched:
    """What the search of one treatment found.

    `best` (unknown,) is its best layout; `rows` (layout, unknown) and `aims` (layout, aim; dB, less
    being better) are all that were judged, by tables whose levels were off by `deviation` dB.
    """

    best: np.ndarray
    rows: np.ndarray
    aims: np.ndarray
    deviation: float


class Kept:
    """A folder with one file for every treatment, named by a digest of what was asked."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def name_of(self, case: Case, asked: Place, treatment: Treatment | None) -> str:
        """Name of the file of an answer: a digest of the question and of the program's numbers."""
        # Of its treatments only the one in hand decides: others may join later.
        question = {**vars(asked), "treatments": treatment}
        return field_digest(SCHEMA, SOLVER, LAYOUT, case.digest, question)[:DIGITS]

    def read(self, name: str) -> Searched | None:
        """An answer, or None where there is none or its file is damaged."""
        try:
            with np.load(self._path(name), allow_pickle=False) as found:
                best, rows, aims = (found[key] for key in ("best", "rows", "aims"))
                return Searched(best, rows, aims, float(found["deviation"]))
        except (OSError, ValueError, KeyError, TypeError, EOFError, zipfile.BadZipFile):
            return None

    def write(self, name: str, found: Searched) -> None:
        """Keep an answer.

        Raises:
            RoundoverError: it cannot be written.
        """
        with complete_file(self._path(name)) as part, part.open("wb") as file:
            np.savez_compressed(file, **vars(found))

    def clear(self, names: set[str]) -> None:
        """Remove the answers that are not among `names`: those of questions no longer asked."""
        for path in self.folder.glob("*.npz"):
            if re.fullmatch(rf"[0-9a-f]{{{DIGITS}}}", path.stem) and path.stem not in names:
                path.unlink(missing_ok=True)

    def _path(self, name: str) -> Path:
        return self.folder / f"{name}.npz"
