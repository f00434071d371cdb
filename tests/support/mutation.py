"""How many small changes of the code its tests notice.

    python tests/support/mutation.py crossover --count 100 --seed 1
    python tests/support/mutation.py listening kernels

Draws changes (`code_changes.py`) from a part of the package and runs the part's tests with each, up
to the first that fails, in a child process in which nothing but the changed module differs. Each
is told with line and change. Libraries that do this rewrite the source tree or start
Python anew for every change; here the libraries are loaded once, and children begin from there.
"""

from __future__ import annotations

import argparse
import ast
import importlib
import os
import random
import signal
import sys
import tempfile
import time
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from importlib.machinery import SourceFileLoader
from pathlib import Path
from types import CodeType

if __name__ == "__main__":
    sys.path[:0] = [str(Path(__file__).parents[at]) for at in (2, 1)]

from support.code_changes import Change, changes_of
from support.equal_changes import EQUAL

ROOT = Path(__file__).parents[2]

LOADED = (
    "numpy",
    "scipy.signal",
    "scipy.optimize",
    "scipy.special",
    "xarray",
    "numba",
    "h5netcdf",
    "pydantic",
    "tomlkit",
)
"""Loaded before the first child begins: most of what a test run waits for."""


@dataclass(frozen=True)
class Part:
    """A part of the package: its files, and the tests that answer for it."""

    files: tuple[str, ...]
    tests: tuple[str, ...]
    compiled: bool = True


PARTS = {
    "crossover": Part(
        ("crossover/*.py",), ("tests/crossover", "tests/prediction/test_processor.py")
    ),
    "listening": Part(
        ("listening/*.py", "room/*.py"),
        (
            "tests/listening",
            "tests/room",
            "tests/prediction/test_acoustic_slopes.py",
            "tests/report/test_open_impulses.py",
        ),
    ),
    "metrics": Part(
        (
            "studies/driver_map/flatness.py",
            "studies/yardsticks/qualities.py",
            "studies/sweeps/ranking.py",
        ),
        (
            "tests/studies/test_flatness.py",
            "tests/studies/test_ranking_by_numbers.py",
            "tests/studies/test_sweep_ranking.py",
        ),
    ),
    "kernels": Part(
        ("field/kernels.py",),
        ("tests/field/test_kernels_by_formulas.py", "tests/field/test_kernels_by_sums.py"),
        compiled=False,
    ),
}


@dataclass(frozen=True)
class Drawn:
    """A change of a file."""

    file: Path
    tree: ast.Module
    change: Change

    @property
    def place(self) -> str:
        """File and change, without the line: what stays when other lines move."""
        return f"{self.file.relative_to(ROOT / 'acoustics').as_posix()}: {self.change.words}"


def drawn(part: Part, count: int, seed: int, known: Collection[str] = EQUAL) -> list[Drawn]:
    """Some of a part's changes, drawn without preference; those known to be equal left out."""
    found = []
    for file in sorted(path for each in part.files for path in (ROOT / "acoustics").glob(each)):
        tree = ast.parse(file.read_text(encoding="utf-8"))
        found += [Drawn(file, tree, change) for change in changes_of(tree)]
    some = random.Random(seed).sample(found, min(count, len(found)))
    # Left out only now, so that listing one leaves the others drawn as they were.
    return [each for each in some if each.place not in known]


def tests_for(part: Part, file: Path | None) -> list[list[str]]:
    """Files of tests in two goes: those named after a file, which notice most, then the others."""
    files = [path for name in part.tests for path in _test_files(ROOT / name)]
    named = [path for path in files if file and file.stem in path.stem]
    goes = named, [path for path in files if path not in named]
    return [[str(path) for path in go] for go in goes if go]


def _test_files(path: Path) -> list[Path]:
    return [path] if path.is_file() else sorted(path.glob("test_*.py"))


def noticed(part: Part, one: Drawn | None, patience: float) -> bool:
    """Whether a test fails, breaks off or takes too long with a change (without any: None)."""
    code = one.change.code(one.tree, str(one.file)) if one else None
    child = os.fork()
    if child == 0:
        _run_tests(part, one.file if one else None, code)
    end = time.monotonic() + patience
    while time.monotonic() < end:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            return os.waitstatus_to_exitcode(status) != 0
        time.sleep(0.02)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return True


def _run_tests(part: Part, file: Path | None, code: CodeType | None) -> None:
    """In the child: put the changed code in place of the file's, run the tests, and end."""
    import pytest

    quiet = os.open(os.devnull, os.O_WRONLY)
    os.dup2(quiet, 1)
    os.dup2(quiet, 2)
    given = SourceFileLoader.get_code

    def get_code(loader: SourceFileLoader, name: str) -> CodeType | None:
        return code if code and loader.path == str(file) else given(loader, name)

    SourceFileLoader.get_code = get_code  # type: ignore[method-assign, assignment]
    ended = 1
    try:
        plain = ["-x", "-q", "-p", "no:xdist", "-p", "no:cacheprovider"]
        for files in tests_for(part, file):
            if ended := pytest.main([*plain, *files]):
                break
    finally:
        os._exit(ended)


def judged(part: Part, changes: list[Drawn]) -> Iterator[bool]:
    """Of each change in turn: whether a test notices it."""
    for name in (*LOADED, "pytest"):
        importlib.import_module(name)
    start = time.monotonic()
    if noticed(part, None, 600.0):
        raise RuntimeError(f"the tests of {', '.join(part.files)} fail without any change")
    patience = 10.0 + 4.0 * (time.monotonic() - start)
    for one in changes:
        yield noticed(part, one, patience)


@contextmanager
def kept_bytecode() -> Iterator[None]:
    """All children read the modules that the first of them compiled; none of it stays behind.

    The changed module is compiled by itself and never kept.
    """
    with tempfile.TemporaryDirectory(prefix="roundover-bytecode-") as folder:
        sys.dont_write_bytecode, sys.pycache_prefix = False, folder
        yield


def main() -> None:
    """Tell for every part asked for how much is noticed, and what is not."""
    reader = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    reader.add_argument("parts", nargs="+", choices=PARTS)
    reader.add_argument("--count", type=int, default=100)
    reader.add_argument("--seed", type=int, default=1)
    reader.add_argument("--least", type=float, default=85.0, help="percent to be noticed")
    asked = reader.parse_args()
    os.environ["OMP_NUM_THREADS"] = "1"  # children begin from a process with a single thread
    with kept_bytecode():
        enough = [tried(name, asked.count, asked.seed) >= asked.least for name in asked.parts]
    sys.exit(0 if all(enough) else 1)


def tried(name: str, count: int, seed: int) -> float:
    """Print what becomes of a sample of a part's changes; percent noticed."""
    part = PARTS[name]
    os.environ["NUMBA_DISABLE_JIT"] = "0" if part.compiled else "1"
    changes = drawn(part, count, seed)
    missed = 0
    for one, seen in zip(changes, judged(part, changes), strict=True):
        missed += not seen
        place = f"{one.file.relative_to(ROOT)}:{one.change.line}"
        mark = "noticed" if seen else "NOT NOTICED"
        print(f"{mark}: {place}: {one.change.words}", flush=True)
    share = 100 * (1 - missed / len(changes))
    print(f"{name}: {len(changes) - missed} of {len(changes)} noticed ({share:.0f} %)", flush=True)
    return share


if __name__ == "__main__":
    main()
