"""What a fit has found so far, in a folder, so that one that was broken off goes on from there."""

from __future__ import annotations

import json
import re
from dataclasses import asdict
from pathlib import Path

from acoustics.conventions import SCHEMA, SOLVER
from acoustics.files import write_text
from acoustics.studies.crossover_fit.outcome import Outcome
from acoustics.studies.remembered import field_digest

LAYOUT = 2
"""Counts up whenever the search or its files change."""

DIGITS = 32
"""of a digest in a file's name"""


class Kept:
    """A folder with one small file for every answer, named by a digest of what was asked."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def name_of(self, *asked: object) -> str:
        """Name of the file of an answer: a digest of the question and of the program's numbers."""
        return field_digest(SCHEMA, SOLVER, LAYOUT, *asked)[:DIGITS]

    def read(self, name: str) -> Outcome | None:
        """An answer, or None where there is none or its file is damaged."""
        path = self.folder / f"{name}.json"
        try:
            found = json.loads(path.read_text(encoding="utf-8"))
            values, seconds = (tuple(map(float, found[key])) for key in ("values", "seconds"))
            outcome = Outcome(values, float(found["cost"]), seconds)
            sound = found["digest"] == field_digest(outcome)[:DIGITS]
        except (OSError, ValueError, KeyError, TypeError):
            return None
        return outcome if sound else None

    def write(self, name: str, outcome: Outcome) -> None:
        """Keep an answer.

        Raises:
            RoundoverError: it cannot be written.
        """
        content = {**asdict(outcome), "digest": field_digest(outcome)[:DIGITS]}
        write_text(json.dumps(content) + "\n", self.folder / f"{name}.json")

    def clear(self, names: set[str]) -> None:
        """Remove the answers that are not among `names`: those of questions no longer asked."""
        for path in self.folder.glob("*.json"):
            if re.fullmatch(rf"[0-9a-f]{{{DIGITS}}}", path.stem) and path.stem not in names:
                path.unlink(missing_ok=True)
