"""A process that reads mutants one by one and says of each how it went.

`python -m support.mutant_worker '[["KIND", FIRST, STOP, STEP], …]'` prints kind and number of a
mutant before it reads it, then what is wrong with how it was read and how long that took, as JSON.
"""

from __future__ import annotations

import contextlib
import json
import sys
import tempfile
import time
from pathlib import Path
from random import Random

from support.mutant_guard import judged, limit_memory
from support.mutant_kinds import KINDS, Maker


def seeded(kind: str, number: int) -> Random:
    """What a mutant is drawn with; the same in every process."""
    return Random(f"{kind} {number}")


def read_mutant(make: Maker, kind: str, number: int) -> str:
    """What is wrong with how one mutant is read; empty where nothing is."""
    return judged(make(seeded(kind, number)))


def main(jobs: list[tuple[str, int, int, int]]) -> None:
    """Read every `step`th mutant of a kind from `first` to before `stop`, kind by kind."""
    out = sys.stdout
    with tempfile.TemporaryDirectory() as folder, contextlib.redirect_stdout(sys.stderr):
        makers = {kind: KINDS[kind](Path(folder) / kind) for kind, *_ in jobs}
        # Libraries load and compile when they are first used; that is no reading.
        for kind, make in makers.items():
            for number in range(-4, 0):
                read_mutant(make, kind, number)
        limit_memory()
        for kind, first, stop, step in jobs:
            for number in range(first, stop, step):
                print(json.dumps([kind, number]), flush=True, file=out)
                began = time.process_time()
                wrong = read_mutant(makers[kind], kind, number)
                took = time.process_time() - began
                print(json.dumps([wrong, took]), flush=True, file=out)


if __name__ == "__main__":
    main(json.loads(sys.argv[1]))
