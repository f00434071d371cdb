"""What this checkout takes over what an earlier commit takes, both in one run.

    python benchmarks/against.py             against the last commit; against the one before it
                                             where nothing is changed since
    python benchmarks/against.py COMMIT      against another
    python benchmarks/against.py --smoke     without kernels, which would have to be compiled

Both are measured in turn, each time in a process of its own, in core seconds, so that other work on
the machine counts little; what is told is the median of the ratios of neighbours, and their ends.
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import tempfile
from argparse import ArgumentParser, Namespace
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from common import in_new_process, print_table

ROOT = Path(__file__).parents[1]
TURNS, FEW = 7, 2

TASKS = {
    "a case read": "ac.read_case(CASE)",
    "a field of two drivers, 40 frequencies, 9 receivers": (
        "ac.solve_field(BODY, PISTONS, POINTS, np.geomspace(200.0, 20e3, 40))"
    ),
    "the compact two-way predicted": "ac.predict(ac.read_case(CASE))",
    "its standard curves": "ac.standard_curves(PREDICTION)",
    "its crossovers, lobes and dips": "ac.dips(ac.heard(PREDICTION))",
    "its box": "ac.box_study(ac.read_case(CASE))",
}
WITHOUT_KERNELS = ("a case read",)

CODE = """
import json, time
import numpy as np
import acoustics as ac
CASE = {case!r}
BODY = ac.Body.box(width=0.21, height=0.36, depth=0.28)
PISTONS = [ac.Piston(0.0127, (0.02, 0.09, 0.0)), ac.Piston(0.06, (0.0, -0.07, 0.0))]
POINTS = [[2.0 * np.sin(a), 0.1, 2.0 * np.cos(a)] for a in np.linspace(0.0, 3.0, 9)]
PREDICTION = ac.predict(ac.read_case(CASE)) if {kernels} else None
took = {{}}
for name, task in {tasks!r}.items():
    work = compile(task, name, "eval")
    times = []
    for _ in range(1 + {repeats}):  # the first loads what is loaded when first used
        start = time.process_time()
        eval(work)
        times.append(time.process_time() - start)
    took[name] = min(times[1:])
print(json.dumps(took))
"""


def main() -> int:
    asked = _asked()
    commit = asked.commit or _last(asked.repository)
    if not commit:
        print("not compared: no earlier commit is here")
        return 0 if asked.smoke else 1
    tasks = {name: TASKS[name] for name in (WITHOUT_KERNELS if asked.smoke else TASKS)}
    code = CODE.format(
        case=str(ROOT / "cases" / "compact-centred"),
        kernels=not asked.smoke,
        tasks=tasks,
        repeats=1 if asked.smoke else 3,
    )
    with checked_out(asked.repository, commit) as there:
        took = [
            {tree: _measured(code, tree) for tree in (ROOT, there)}
            for _ in range(FEW if asked.smoke else TURNS)
        ]
    row = print_table("core seconds of", "here", f"at {commit[:10]}", "ratio", "from, to")
    for name in tasks:
        here, before = ([one[tree][name] for one in took] for tree in (ROOT, there))
        ratios = [a / b for a, b in zip(here, before, strict=True)]
        ends = f"{min(ratios):.2f}, {max(ratios):.2f}"
        middle = [statistics.median(each) for each in (here, before)]
        row(name, *(f"{each:.3g}" for each in middle), f"{statistics.median(ratios):.2f}", ends)
    return 0


@contextmanager
def checked_out(repository: Path, commit: str) -> Iterator[Path]:
    """The files of a commit in a folder of their own."""
    with tempfile.TemporaryDirectory() as folder:
        tree = Path(folder) / "tree"
        tree.mkdir()
        packed = subprocess.run(
            ["git", "-C", str(repository), "archive", commit, "acoustics"],
            check=True,
            capture_output=True,
        )
        subprocess.run(["tar", "-x", "-C", str(tree)], input=packed.stdout, check=True)
        yield tree


def _measured(code: str, tree: Path) -> dict[str, float]:
    """What the tasks take with the package of one tree, whose compiled code goes with it."""
    environment = {"PYTHONPATH": str(tree)}
    if tree != ROOT:
        environment["NUMBA_CACHE_DIR"] = str(tree / ".numba")
    found: dict[str, float] = json.loads(in_new_process(code, **environment))
    return found


def _last(repository: Path) -> str:
    """The commit before what stands here; empty where there is none."""

    def git(*words: str) -> subprocess.CompletedProcess[str]:
        command = ["git", "-C", str(repository), *words]
        return subprocess.run(command, capture_output=True, text=True)

    changed = git("status", "--porcelain", "--untracked-files=no").stdout.strip()
    found = git("rev-parse", "--verify", "--quiet", "HEAD" if changed else "HEAD~1")
    return found.stdout.strip() if found.returncode == 0 else ""


def _asked() -> Namespace:
    parser = ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("commit", nargs="?", help="which one; the last by default")
    parser.add_argument(
        "--repository", type=Path, default=ROOT, help="where its history is, if not here"
    )
    parser.add_argument("--smoke", action="store_true", help="without kernels")
    return parser.parse_args()


if __name__ == "__main__":
    sys.exit(main())
