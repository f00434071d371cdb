"""Passive crossovers: how long a circuit takes, over a dense system of its unknowns.

python benchmarks/networks.py            a few seconds
python benchmarks/networks.py --smoke    each once or twice: checks that it runs
"""

from __future__ import annotations

import numpy as np
from common import best_time, is_smoke, print_table

from acoustics.case import Element
from acoustics.case.design.network_parts import parts_of
from acoustics.crossover import solve_network

KINDS = (
    {"inductor": 1e-3, "resistance": 0.4},
    {"capacitor": 10e-6},
    {"resistor": 3.3},
    {"resistor": 12.0, "capacitor": 4e-6},
)
WIRE = {"inductor": 1e-6}
"""Nearly a short circuit at low frequencies, so that its current is an unknown too."""
RUNS = {
    # elements of each of two ladders, frequencies, and what those in the way are
    "two ladders of 15 elements, 480 frequencies": (15, 480, KINDS),
    "the same, one in four nearly a short circuit": (15, 480, (WIRE, *KINDS[1:])),
    "two ladders of 5 elements, 100 frequencies": (5, 100, KINDS),
    "two ladders of 3 elements, 100 frequencies": (3, 100, KINDS),
}


def ladder(count: int, kinds: tuple[dict[str, float], ...]) -> list[Element]:
    """Elements in the way and across, in turn."""
    return [
        Element("across" if number % 2 else "series", **kinds[number % len(kinds)])
        for number in range(count)
    ]


def nodes_of(ladders: list[list[Element]]) -> int:
    """Of all ladders together, ground left out."""
    return 1 + sum(element.place == "series" for each in ladders for element in each)


def main() -> None:
    smoke = is_smoke(__doc__, "each once or twice")
    repeats = 2 if smoke else 200
    random = np.random.default_rng(1)
    row = print_table("circuit", "parts", "time", "dense systems of its nodes", "time of those")
    for name, (count, points, kinds) in RUNS.items():
        frequency = np.geomspace(20.0, 20e3, points)
        ladders = [ladder(count, kinds), ladder(count, kinds)]
        loads = np.eye(2)[:, :, None] / 8 + 0j * frequency
        seconds = best_time(lambda a=ladders, b=loads, f=frequency: solve_network(a, b, f), repeats)
        side = nodes_of(ladders)
        dense = random.standard_normal((points, side, side)) + 1j
        yardstick = best_time(lambda m=dense: np.linalg.solve(m, m[..., :1]), repeats)
        shown = [f"{1e3 * each:.2f} ms" for each in (seconds, yardstick)]
        row(name, len(parts_of(ladders)), shown[0], f"{seconds / yardstick:.1f}", shown[1])


if __name__ == "__main__":
    main()
