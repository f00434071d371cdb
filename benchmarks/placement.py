"""How fast every place of a tweeter is solved, and how far each is from the truth.

Ten thousand places on one cabinet, 240 frequencies, the 9 directions of the listening window; in
the same run single places are solved afresh by `solve_field`, at the same accuracy and at a finer
one, and held against the map.

    python benchmarks/placement.py            the full measurement
    python benchmarks/placement.py --smoke    a hundred places, to 2 kHz: checks that it runs
"""

from __future__ import annotations

import argparse
import resource
import time
from concurrent.futures import ThreadPoolExecutor
from typing import NamedTuple

import numpy as np

import acoustics as ac
from acoustics.cabinet import face_frame
from acoustics.field.blas import one_blas_thread
from acoustics.field.places import field_at_places
from acoustics.field.plan import usable_cores
from acoustics.listening.standard_curves import LISTENING_WINDOW

BOX = ac.Body.box(width=0.21, height=0.36, depth=0.28)
RADIUS, ROOM, DISTANCE = 0.0127, 0.002, 2.0
"""m: of the piston; between its rim and the edges at the outermost places; of the receivers"""

MATRIX = 1200
ROWS = 5
CHECKED = 200
"""places that are solved afresh, seeded; in full those at the corners and edges are among them"""


class Map(NamedTuple):
    right: np.ndarray
    up: np.ndarray
    frame: object
    levels: np.ndarray
    """dB, (up, right, receiver, frequency)"""
    seconds: float


def window() -> np.ndarray:
    """The 9 directions of ANSI/CTA-2034-A about a point of the front, (receiver, 3), m."""
    points = []
    for plane, angle in LISTENING_WINDOW:
        turn = np.deg2rad(angle)
        aside = np.array([np.sin(turn), 0.0]) if plane == "horizontal" else [0.0, np.sin(turn)]
        points.append([DISTANCE * aside[0], 0.09 + DISTANCE * aside[1], DISTANCE * np.cos(turn)])
    return np.array(points)


def mapped(places: tuple[int, int], frequency: np.ndarray) -> Map:
    """Solve, spread and take levels of every place, in rows as a map does."""
    start = time.perf_counter()
    frame = face_frame(BOX, 0)
    right, up = (
        np.linspace(-1, 1, count) * (size / 2 - RADIUS - ROOM)
        for count, size in zip(places, (0.21, 0.36), strict=True)
    )
    heard = ac.face_field(BOX, 0, window(), frequency)
    found = field_at_places(heard, ac.Piston(RADIUS, (0.0, 0.0, 0.0)), frame, right, up)
    stretches = [slice(n, n + ROWS) for n in range(0, up.size, ROWS)]
    with one_blas_thread(), ThreadPoolExecutor(usable_cores()) as pool:
        rows = pool.map(lambda which: 20 * np.log10(np.abs(found.rows(which))), stretches)
        levels = np.concatenate(list(rows))
    return Map(right, up, frame, levels, time.perf_counter() - start)


def deviation(found: Map, frequency: np.ndarray, accuracy: float, count: int) -> float:
    """Largest difference from places solved afresh, dB."""
    rng = np.random.default_rng(6)
    spots = [(0, 0), (found.up.size // 2, 0), (0, found.right.size // 2), (-1, -1)]
    spots += [
        (int(rng.integers(found.up.size)), int(rng.integers(found.right.size)))
        for _ in range(count)
    ]
    spots = spots[:count]
    pistons = [ac.Piston(RADIUS, found.frame.point(found.right[i], found.up[j])) for j, i in spots]
    chosen = np.linspace(0, frequency.size - 1, min(12, frequency.size)).astype(int)
    worst = 0.0
    for start in range(0, count, 20):
        few = slice(start, start + 20)
        truth = ac.solve_field(
            BOX, pistons[few], window(), frequency[chosen], accuracy=accuracy
        ).values.swapaxes(1, 2)
        here = np.array([found.levels[spot][:, chosen] for spot in spots[few]])
        worst = max(worst, float(np.abs(here - 20 * np.log10(np.abs(truth))).max()))
    return worst


def best_time(work, repeats: int) -> float:
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--smoke", action="store_true", help="a hundred places, to 2 kHz")
    smoke = parser.parse_args().smoke
    places = (10, 10) if smoke else (80, 125)
    frequency = np.geomspace(20.0, 2e3, 12) if smoke else np.geomspace(20.0, 20e3, 240)
    mapped((4, 4), frequency[::12])  # compiled, or read from the cache

    rng = np.random.default_rng(1)
    matrix = rng.standard_normal((MATRIX, MATRIX))
    product = best_time(lambda: matrix @ matrix, 5)
    piston = ac.Piston(RADIUS, (0.02, 0.09, 0.0))
    single = best_time(
        lambda: ac.solve_field(BOX, [piston], window(), frequency), 1 if smoke else 3
    )
    runs = [mapped(places, frequency) for _ in range(1 if smoke else 3)]
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    found = min(runs, key=lambda run: run.seconds)
    count = places[0] * places[1]
    print(f"{count} places, {frequency.size} frequencies, 9 directions, accuracy 0.1 dB")
    print(
        f"{found.seconds:.2f} s, {found.seconds / product:.0f} products of {MATRIX}² matrices "
        f"({product * 1e3:.1f} ms)"
    )
    print(
        f"{1e3 * found.seconds / count:.3f} ms a place; one place by solve_field {single:.3f} s: "
        f"{count * single / found.seconds:.0f} times as long for all"
    )
    print(f"peak memory {peak:.0f} MiB")
    checked = 8 if smoke else CHECKED
    for accuracy in (0.1, 0.01):
        off = deviation(found, frequency, accuracy, checked)
        print(f"off from {checked} places solved afresh at {accuracy:g} dB: {off:.3f} dB")


if __name__ == "__main__":
    main()
