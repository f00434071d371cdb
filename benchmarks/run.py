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
import xarray as xr

import acoustics as ac
from acoustics.cabinet import EdgeCut, chamfered

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


BOX = ac.Body.box(width=0.21, height=0.36, depth=0.28)
SIDES = ("front left", "front right")
BODIES = {
    "plain box": BOX,
    "two 25 mm chamfers": chamfered(BOX, [EdgeCut(edge, (0.025, 0.025)) for edge in SIDES]),
    "front rounded, 20 mm": ac.rounded(BOX, 0.02),
    "plate": ac.plate(width=0.21, height=0.36),
}
PISTONS = [ac.Piston(0.0127, (0.02, 0.09, 0.0)), ac.Piston(0.06, (0.0, -0.07, 0.0))]
DRIVERS = [ac.Piston(0.0127, (x, y, 0.0)) for x in (-0.05, 0.05) for y in (-0.1, 0.0, 0.1)]
NULL = 0.1
"""of the pattern's maximum: 20 dB below it levels are no longer compared"""

Rows = list[tuple[str, float, float, float]]
"""What was done, seconds, products of matrices, and dB off the truth."""


def all_round(count: int) -> np.ndarray:
    """Receivers at 2 m, evenly over the sphere, (receiver, 3), m."""
    heights = (2.0 * np.arange(count) + 1.0) / count - 1.0
    turn = np.pi * (1.0 + 5.0**0.5) * np.arange(count)
    around = np.sqrt(1.0 - heights**2)
    return 2.0 * np.stack([around * np.cos(turn), heights, around * np.sin(turn)], axis=1)


def level_error(found: xr.DataArray, truth: xr.DataArray) -> float:
    """Largest difference of levels within 20 dB of each pattern's maximum, dB."""
    size = np.abs(truth.values)
    counts = size >= NULL * size.max(axis=-1, keepdims=True)
    off = np.abs(20.0 * np.log10(np.abs(found.values) / size))
    return float(np.where(counts, off, 0.0).max())


def fields(rows: Rows, product: float, smoke: bool, repeats: int) -> None:
    """Whole fields of every body, timed and held against finer rules in the same run."""
    frequency = np.geomspace(20.0, 20e3, 12 if smoke else 240)
    checked = frequency[:: 4 if smoke else 60]
    receivers = all_round(20 if smoke else 150)
    for name, body in BODIES.items():
        ac.solve_field(body, PISTONS, receivers, checked)
        seconds = best_time(
            lambda b=body: ac.solve_field(b, PISTONS, receivers, frequency), repeats
        )
        found = ac.solve_field(body, PISTONS, receivers, frequency).sel(frequency=checked)
        truth = ac.solve_field(body, PISTONS, receivers, checked, accuracy=0.01)
        rows.append((name, seconds, seconds / product, level_error(found, truth)))
    few = receivers[:: len(receivers) // 9][:9]
    heard = ac.face_field(BOX, 0, few, frequency)
    heard.field(PISTONS)
    for name, piston in zip(("tweeter", "woofer"), PISTONS, strict=True):
        seconds = best_time(lambda p=piston: heard.field([p]), 3 * repeats)
        truth = ac.solve_field(BOX, [piston], few, checked, accuracy=0.01)
        error = level_error(heard.field([piston]).sel(frequency=checked), truth)
        rows.append((f"{name} moved, 9 receivers", seconds, seconds / product, error))


def growth(smoke: bool, repeats: int) -> None:
    """How the time grows with receivers, frequencies, drivers and the top frequency."""
    receivers, frequency = all_round(600), np.geomspace(20.0, 20e3, 960)
    tasks: dict[str, list[tuple[int, Callable[[], object]]]] = {
        "receivers": [
            (n, lambda n=n: ac.solve_field(BOX, PISTONS, receivers[:n], frequency[::8]))
            for n in (75, 150, 300, 600)
        ],
        "frequencies": [
            (n, lambda n=n: ac.solve_field(BOX, PISTONS, receivers[:75], frequency[:: 960 // n]))
            for n in (60, 120, 240, 480)
        ],
        "drivers": [
            (n, lambda n=n: ac.solve_field(BOX, DRIVERS[:n], receivers[:75], frequency[::8]))
            for n in (1, 2, 4, 6)
        ],
        "top frequency, kHz": [
            (n, lambda n=n: ac.solve_field(BOX, PISTONS, receivers[:75], [1e3 * n]))
            for n in (5, 10, 20, 40)
        ],
    }
    print("\ntime over that of the first")
    for name, steps in tasks.items():
        steps = steps[:2] if smoke else steps
        times = [best_time(work, repeats) for _, work in steps]
        grown = ", ".join(
            f"{n}: {t / times[0]:.2f}" for (n, _), t in zip(steps, times, strict=True)
        )
        print(f"{name:20s} {grown}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--smoke", action="store_true", help="a tenth of the work")
    smoke = parser.parse_args().smoke
    repeats = 1 if smoke else 3

    rng = np.random.default_rng(1)
    matrix = rng.standard_normal((MATRIX, MATRIX))
    product = best_time(lambda: matrix @ matrix, 5)
    case = ac.read_case(CASE)
    cold = best_time(lambda: ac.solve_field(BOX, PISTONS, all_round(9), [1e3]), 1)
    rows: Rows = [("first call in a process", cold, cold / product, float("nan"))]
    fields(rows, product, smoke, repeats)
    if not smoke:
        whole = best_time(lambda: ac.predict(case), repeats)
        rows.append(("whole prediction of a pair", whole, whole / product, float("nan")))
    print(f"in products of {MATRIX}² matrices ({product * 1e3:.1f} ms); accuracy asked: 0.1 dB")
    for name, seconds, ratio, error in rows:
        print(f"{name:26s} {seconds:8.3f} s   {ratio:8.1f} products   {error:6.3f} dB off")
    helped, bare = start_up(2 if smoke else 5)
    print(f"roundover --help: {helped:.3f} s, {helped / bare:.1f} interpreters that do nothing")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"peak memory {peak:.0f} MiB")
    growth(smoke, repeats)


if __name__ == "__main__":
    main()
