"""A process that reads mutants one by one and says of each how it went.

`python -m support.mutant_worker KIND FIRST STOP STEP` prints a number before it reads the mutant,
then what is wrong with how it was read, as JSON; nothing after it means that all is well.
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


def main(kind: str, first: int, stop: int, step: int) -> None:
    """Read every `step`th mutant from `first` to before `stop`."""
    out = sys.stdout
    with tempfile.TemporaryDirectory() as folder, contextlib.redirect_stdout(sys.stderr):
        make = KINDS[kind](Path(folder))
        # Libraries load and compile when they are first used; that is no reading.
        for number in range(-8, 0):
            read_mutant(make, kind, number)
        limit_memory()
        for number in range(first, stop, step):
            print(number, flush=True, file=out)
            began = time.process_time()
            wrong = read_mutant(make, kind, number)
            took = time.process_time() - began
            print(json.dumps([wrong, round(took, 2)]), flush=True, file=out)


if __name__ == "__main__":
    main(sys.argv[1], *map(int, sys.argv[2:]))
