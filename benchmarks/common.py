"""What the measurements share: the bodies, the receivers, and how times and errors are taken."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from argparse import ArgumentParser
from collections.abc import Callable

import numpy as np

import acoustics as ac
from acoustics.cabinet import EdgeCut, chamfered

BOX = ac.Body.box(width=0.21, height=0.36, depth=0.28)
SIDES = ("front left", "front right")
BODIES = {
    "plain box": BOX,
    "with two 25 mm chamfers": chamfered(BOX, [EdgeCut(edge, (0.025, 0.025)) for edge in SIDES]),
    "with the front's four edges rounded, 20 mm": ac.rounded(BOX, 0.02),
    "plate without thickness": ac.plate(width=0.21, height=0.36),
}
TWEETER, WOOFER = ac.Piston(0.0127, (0.02, 0.09, 0.0)), ac.Piston(0.06, (0.0, -0.07, 0.0))
PISTONS = [TWEETER, WOOFER]

NULL = 0.1
"""of the pattern's maximum: 20 dB below it levels are no longer compared"""

MATRIX = 1200


def is_smoke(description: str | None, less: str) -> bool:
    """Read the command line: whether --smoke is given, which measures `less`."""
    parser = ArgumentParser(description=(description or "").splitlines()[0])
    parser.add_argument("--smoke", action="store_true", help=less)
    return bool(parser.parse_args().smoke)


def all_round(count: int) -> np.ndarray:
    """Receivers at 2 m, evenly over the sphere, (receiver, 3), m."""
    heights = (2.0 * np.arange(count) + 1.0) / count - 1.0
    turn = np.pi * (1.0 + 5.0**0.5) * np.arange(count)
    around = np.sqrt(1.0 - heights**2)
    return 2.0 * np.stack([around * np.cos(turn), heights, around * np.sin(turn)], axis=1)


def best_time(
    work: Callable[[], object], repeats: int, clock: Callable[[], float] = time.perf_counter
) -> float:
    """Shortest time of several runs, s: the one least disturbed by others.

    By the clock on the wall; time.process_time gives core seconds.
    """
    times = []
    for _ in range(repeats):
        start = clock()
        work()
        times.append(clock() - start)
    return min(times)


def product_time() -> float:
    """The yardstick: seconds for a product of two 1200² matrices, double precision, all cores."""
    matrix = np.random.default_rng(1).standard_normal((MATRIX, MATRIX))
    return best_time(lambda: matrix @ matrix, 5)


def level_error(found: np.ndarray, truth: np.ndarray) -> float:
    """Largest difference of levels within 20 dB of each pattern's maximum, dB.

    Complex or not, the receivers along the last axis.
    """
    size = np.abs(truth)
    counts = size >= NULL * size.max(axis=-1, keepdims=True)
    off = np.abs(20.0 * np.log10(np.abs(found) / size))
    return float(np.where(counts, off, 0.0).max())


def in_new_process(code: str, **environment: str) -> str:
    """What `code` prints in an interpreter of its own; the environment is added to this one's."""
    done = subprocess.run(
        [sys.executable, "-c", code],
        check=True,
        capture_output=True,
        text=True,
        env={**os.environ, **environment},
    )
    return done.stdout


def print_table(*columns: str) -> Callable[..., None]:
    """Print the head of a Markdown table; returns what prints a row of it."""
    print("\n| " + " | ".join(columns) + " |\n" + "|---" * len(columns) + "|", flush=True)
    return lambda *cells: print("| " + " | ".join(map(str, cells)) + " |", flush=True)
