"""Short names for designs, which also name their files."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from pathlib import Path

from acoustics.case.design.model import Case
from acoustics.conventions import RoundoverError


def case_name(case: Case) -> str:
    """A short name for a design: its folder's, or its file's where that is not case.toml."""
    file = Path(case.path).resolve()
    return file.parent.name if file.name == "case.toml" else file.stem


def labels_of(cases: Sequence[Case]) -> tuple[str, ...]:
    """A name of its own for each design; those with like names are numbered."""
    names = [case_name(case) for case in cases]
    # Some file systems take capital and small letters as one.
    if len({file_name(name).casefold() for name in names}) == len(names):
        return tuple(names)
    return tuple(f"{i}: {name}" for i, name in enumerate(names, start=1))


def file_name(label: str) -> str:
    """A label as part of a file's name; different labels of one comparison stay different."""
    return label.replace(": ", "-").replace(":", "-")


def require_different(cases: Sequence[Case]) -> None:
    """Refuse a comparison that names the same design twice; other aims make it another."""
    for one, other in itertools.combinations(cases, 2):
        if one.digest == other.digest and one.aims == other.aims:
            raise RoundoverError(
                f"{one.path} and {other.path} describe the same design, so there is nothing to "
                "compare; name each design once"
            )
