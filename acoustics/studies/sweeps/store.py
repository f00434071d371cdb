"""The blocks of a sweep, kept so that one that was broken off goes on.

Which points a block holds follows from how long points take, so blocks are not asked for one by
one: all are read, and each says which sweep and which points it answers.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from acoustics.conventions import RoundoverError
from acoustics.studies.kept_files import Arrays, KeptFiles, kept_files, named_with
from acoustics.studies.sweeps.work import Done

LAYOUT = 2
"""Counts up whenever the blocks' content is laid out otherwise."""

KIND = "block"

_FIELD = "field "


@dataclass(frozen=True)
class Store:
    """A folder with the blocks of the sweep whose digest is `digest`; see `open_store`."""

    folder: Path
    files: KeptFiles
    digest: str
    who: str

    def write(self, done: Done) -> None:
        """Keep a block.

        Raises:
            RoundoverError: it cannot be written; those before it are safe.
        """
        arrays = {
            "sweep": np.array(self.digest),
            "numbers": np.array(done.numbers, dtype=np.int64),
            "figures": done.figures,
            "reasons": np.array(done.reasons, dtype=str),
            **{f"{_FIELD}{name}": values for name, values in done.fields.items()},
        }
        self.files.write(arrays, *_asked(arrays))

    def blocks(self) -> Iterator[Done]:
        """Every sound block of the sweep.

        Raises:
            RoundoverError: all that are there, and sound, are those of another sweep.
        """
        own, other = 0, ""
        for arrays in self.files.every(_asked):
            sweep = str(arrays["sweep"])
            if sweep == self.digest:
                own += 1
                yield _done(arrays)
            else:
                other = sweep
        if other and not own:
            raise RoundoverError(
                f"{self.folder}: the blocks there belong to another sweep (digest {other}) than "
                f"{self.who} (digest {self.digest}): the case, its [sweep] or the program has "
                "changed since; write to another folder with --out, undo the change, or remove "
                f"{self.folder} to start anew"
            )


@contextmanager
def open_store(folder: Path, digest: str, who: str) -> Iterator[Store]:
    """Open the store of a sweep, or make it; nobody else can until it is left.

    Args:
        folder: where the blocks are.
        digest: of the sweep, its case and the numbers of solver, schema and layout.
        who: what the sweep is called in messages.

    Raises:
        RoundoverError: the folder cannot be written, or another process is at work in it.
    """
    with kept_files(folder, KIND) as files:
        yield Store(folder, files, digest, who)


def _asked(arrays: Arrays) -> tuple[object, ...]:
    """What a block answers: which points of which sweep."""
    return str(arrays["sweep"]), arrays["numbers"]


def _done(arrays: Arrays) -> Done:
    numbers = tuple(int(number) for number in arrays["numbers"])
    reasons = tuple(str(reason) for reason in arrays["reasons"])
    return Done(numbers, arrays["figures"], reasons, named_with(_FIELD, arrays))
