"""The case file as it was read at some moment."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

from acoustics.case import read_case
from acoustics.case.design.model import Case
from acoustics.case.read import CASE_FILE
from acoustics.case.text.toml_text import text_of


@dataclass(frozen=True)
class Reading:
    """A case and the text of its file."""

    case: Case
    text: str

    @property
    def seen(self) -> str:
        """Digest of the text, by which a tab says which version it knows."""
        return digest_of(self.text)

    @property
    def file(self) -> Path:
        """Where the text stands."""
        return Path(self.case.path)


def read_file(path: str | Path) -> Reading:
    """Read and check a case file.

    Raises:
        CaseError: as `read_case`.
    """
    case = read_case(path)
    assert case.text is not None
    return Reading(case, case.text.case)


def text_now(file: Path) -> str:
    """The text that stands in the file now, whatever it is.

    Raises:
        CaseError: it cannot be read.
    """
    return text_of(file, CASE_FILE)


def digest_of(text: str) -> str:
    """SHA-256 of a text."""
    return hashlib.sha256(text.encode()).hexdigest()
