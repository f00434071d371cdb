"""Thousands of mutants of real inputs, each read in a process that may be lost.

A damaged HDF5 file may end a process, or keep it outside Python for ever; so the processes that
read are watched from outside. `python tests/support/mutants_at_scale.py KIND FIRST [STOP]` reads
again what a test has found, with PYTHONPATH=.:tests.
"""

from __future__ import annotations

import json
import os
import selectors
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

PROCESSES = 2
PATIENCE = 20.0
"""seconds of processor time without a word that a process gets: twice what one reading may take"""
START = 120.0
"""likewise for loading libraries and making originals"""
WAIT = 300.0
"""seconds by the clock after which a process waits for what never comes"""
TESTS = Path(__file__).parents[1]

Job = tuple[str, int, int, int]
"""A kind, the first number, where to stop, and the step."""


@dataclass(frozen=True)
class Defect:
    """A mutant that was neither read nor refused in words, and how to read it again."""

    kind: str
    number: int
    wrong: str

    def __str__(self) -> str:
        return f"{self.kind} {self.number}: {self.wrong}"


def _silent(defect: Defect) -> Defect:
    return defect


def _printed(defect: Defect) -> Defect:
    print(defect, flush=True)
    return defect


def defects_of(
    counts: Mapping[str, int], first: int = 0, tell: Callable[[Defect], Defect] = _silent
) -> list[Defect]:
    """Read so many mutants of each kind, in two processes; what was found."""
    parts = [
        [(kind, first + part, first + count, PROCESSES) for kind, count in counts.items()]
        for part in range(PROCESSES)
    ]
    with ThreadPoolExecutor(PROCESSES) as pool:
        found = pool.map(lambda jobs: [tell(defect) for defect in _read(jobs)], parts)
        return [defect for each in found for defect in each]


def _read(jobs: list[Job]) -> Iterator[Defect]:
    """Defects among the mutants of some jobs; a lost process is followed by another."""
    while jobs:
        kind, number, wrong = jobs[0][0], -1, ""
        with tempfile.TemporaryFile() as said, _worker(said, jobs) as worker:
            for one, other in _lines(worker):
                if isinstance(other, int):
                    kind, number, wrong = one, other, "lost"
                else:
                    _note(kind, number, other)
                    if one:
                        yield Defect(kind, number, one)
                    wrong = ""
            ended = worker.poll()
            if ended is None:
                worker.kill()
                wrong = f"no word for {PATIENCE:g} s: outside Python, for no alarm was heeded"
            elif ended:
                said.seek(0)
                wrong = f"the process ended with {ended}: {said.read().decode()[-2000:]}"
        if wrong:
            yield Defect(kind, number, wrong)
        if not wrong or number < 0:
            return
        jobs = _after(jobs, kind, number)


def _after(jobs: list[Job], kind: str, number: int) -> list[Job]:
    """What is left of some jobs behind a mutant."""
    at = [job[0] for job in jobs].index(kind)
    _, _, stop, step = jobs[at]
    return [(kind, number + step, stop, step), *jobs[at + 1 :]]


slowest: list[tuple[float, str, int]] = []
"""Processor time of the mutants that took longest, s: where a limit is near."""


def _note(kind: str, number: int, took: float) -> None:
    slowest.append((took, kind, number))
    slowest.sort(reverse=True)
    del slowest[12:]


def _worker(said: IO[bytes], jobs: list[Job]) -> subprocess.Popen[bytes]:
    path = os.pathsep.join((str(TESTS.parent), str(TESTS), os.environ.get("PYTHONPATH", "")))
    one = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1")
    return subprocess.Popen(
        [sys.executable, "-X", "faulthandler", "-m", "support.mutant_worker", json.dumps(jobs)],
        stdout=subprocess.PIPE,
        stderr=said,
        env={**os.environ, **one, "PYTHONPATH": path},
    )


def _lines(worker: subprocess.Popen[bytes]) -> Iterator[Any]:
    """What a process says, until it ends or says nothing for too long."""
    assert worker.stdout is not None
    left, most, used, heard = b"", START, 0.0, time.monotonic()
    with selectors.DefaultSelector() as selector:
        selector.register(worker.stdout, selectors.EVENT_READ)
        while time.monotonic() - heard < WAIT and _processor_time(worker) - used < most:
            if not selector.select(1.0):
                continue
            some = os.read(worker.stdout.fileno(), 65536)
            if not some:
                worker.wait()
                return
            *lines, left = (left + some).split(b"\n")
            yield from map(json.loads, lines)
            most, used, heard = PATIENCE, _processor_time(worker), time.monotonic()


def _processor_time(worker: subprocess.Popen[bytes]) -> float:
    """Seconds that a process has used, by proc(5); 0 once it has ended."""
    try:
        text = Path(f"/proc/{worker.pid}/stat").read_text(encoding="ascii", errors="replace")
    except OSError:
        return 0.0
    fields = text.rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


if __name__ == "__main__":
    kind, start = sys.argv[1], int(sys.argv[2])
    end = int(sys.argv[3]) if len(sys.argv) > 3 else start + 1
    defects_of({kind: end - start}, start, _printed)
    for took, name, number in slowest:
        print(f"{took:.2f} s  {name} {number}", file=sys.stderr)
