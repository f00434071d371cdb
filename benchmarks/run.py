"""How fast the program is, as ratios measured within one run.

A time alone says as much about the machine as about the program, so every figure stands beside a
yardstick taken in the same run: a plain interpreter start for the command's start, and a fixed
amount of matrix products for the solver.

    python benchmarks/run.py            the full measurement
    python benchmarks/run.py --smoke    the same on a tenth of the work: checks that it runs
"""

from __future__ import annotations

import argparse
import resource
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

import acoustics as ac

CASE = Path(__file__).parents[1] / "cases" / "compact-centred" / "case.toml"
MATRIX = 1200


def best_time(work: Callable[[], object], repeats: int) -> float:
    """Shortest wall time of several runs, s: the one least disturbed by others."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def start_up(repeats: int) -> tuple[float, float]:
    """Median seconds of `roundover --help`, and of an interpreter that does nothing."""

    def median(arguments: list[str]) -> float:
        times = []
        for _ in range(repeats):
            start = time.perf_counter()
            subprocess.run([sys.executable, *arguments], check=True, capture_output=True)
            times.append(time.perf_counter() - start)
        return statistics.median(times)

    command = (
        "import sys; sys.argv = ['roundover', '--help']; import acoustics.cli.main as m; m.main()"
    )
    return median(["-c", command]), median(["-c", "pass"])


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--smoke", action="store_true", help="a tenth of the work")
    smoke = parser.parse_args().smoke
    repeats = 1 if smoke else 3

    rng = np.random.default_rng(1)
    matrix = rng.standard_normal((MATRIX, MATRIX))
    product = best_time(lambda: matrix @ matrix, 5)
    yardstick = f"{MATRIX}² matrix product"

    case = ac.read_case(CASE)
    frequency = case.frequencies.values()[:: 10 if smoke else 1]
    box = case.cabinet
    body = ac.Body.box(width=box.width, height=box.height, depth=box.depth)
    pistons = [
        ac.Piston(radius=driver.piston_diameter / 2, centre=(*driver.position, 0.0))
        for driver in case.drivers
    ]
    angles = np.radians(np.arange(-175, 181, 5))
    arc = 2.0 * np.stack([np.sin(angles), 0 * angles, np.cos(angles)], axis=1)
    receivers = np.concatenate([arc, arc[:, [1, 0, 2]]])

    def solve() -> object:
        return ac.solve_field(
            body, pistons, receivers, frequency, air=case.air, accuracy=case.accuracy
        )

    cold = best_time(solve, 1)
    warm = best_time(solve, repeats)
    helped, bare = start_up(2 if smoke else 5)

    rows = [
        ("field, first call in a process", cold, cold / product, yardstick),
        ("field, warm", warm, warm / product, yardstick),
        ("roundover --help", helped, helped / bare, "interpreter that does nothing"),
    ]
    if not smoke:
        whole = best_time(lambda: ac.predict(case), repeats)
        rows.append(("whole prediction, warm", whole, whole / product, yardstick))
    print(f"{frequency.size} frequencies × {len(receivers)} receivers × {len(pistons)} pistons")
    for name, seconds, ratio, unit in rows:
        print(f"{name:32s} {seconds:8.3f} s   {ratio:8.1f} × {unit}")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"peak memory {peak:.0f} MiB")


if __name__ == "__main__":
    main()
