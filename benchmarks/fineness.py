"""How far every accuracy is from the rules for 0.003 dB: the table of DEVELOPERS.md, "Fineness".

python benchmarks/fineness.py           all bodies and frequencies (some minutes)
python benchmarks/fineness.py --smoke   one body at two frequencies: checks that it runs
"""

from __future__ import annotations

import numpy as np
from common import is_smoke, level_error, print_table

from acoustics import Body, Piston, solve_field
from acoustics.cabinet import EdgeCut, RoundedBody, chamfered, plate, rounded

BOX = Body.box(width=0.22, height=0.38, depth=0.30)
TWEETER = Piston(0.0127, (0.0, 0.10, 0.0))
ACCURACIES = (0.1, 0.03, 0.01)
FINEST = 0.003
ROUNDS = ("front left", "front right")
TASKS: dict[str, tuple[Body | RoundedBody, list[Piston], float]] = {
    "box, tweeter and woofer": (BOX, [TWEETER, Piston(0.06, (0.0, -0.07, 0.0))], 16e3),
    "box, tweeter 3 mm from an edge": (BOX, [Piston(0.0127, (0.0943, 0.1, 0.0))], 8e3),
    "tower 0.2 × 1.0 × 0.3 m": (
        Body.box(width=0.2, height=1.0, depth=0.3),
        [Piston(0.0127, (0.0, 0.4, 0.0)), Piston(0.08, (0.0, 0.1, 0.0))],
        4e3,
    ),
    "cube of 0.1 m": (Body.box(width=0.1, height=0.1, depth=0.1), [Piston(0.02, (0, 0, 0))], 16e3),
    "slab 20 mm deep": (
        Body.box(width=0.3, height=0.4, depth=0.02),
        [Piston(0.0127, (0.02, 0.1, 0.0))],
        8e3,
    ),
    "plate": (plate(width=0.3, height=0.4), [Piston(0.06, (0.02, 0.1, 0.0))], 8e3),
    "box, 25 mm chamfers": (
        chamfered(BOX, [EdgeCut(edge, (0.025, 0.025)) for edge in ROUNDS]),
        [Piston(0.0127, (0.02, 0.10, 0.0))],
        8e3,
    ),
    "box, tweeter 3 mm from a chamfer": (
        chamfered(BOX, [EdgeCut(edge, (0.025, 0.025)) for edge in ROUNDS]),
        [Piston(0.0127, (0.0693, 0.10, 0.0))],
        4e3,
    ),
    "box, two rounds of 20 mm": (
        rounded(BOX, 0.02, ROUNDS).with_facets((2, 2)),
        [Piston(0.0127, (0.02, 0.10, 0.0))],
        4e3,
    ),
}


def receivers() -> np.ndarray:
    """Both arcs at 2 m, the planes of faces and nearly so, near and far, beside edge lines."""
    degrees = [*range(0, 360, 15), 89, 89.99, 90.001, 91, 174, 178, 186, 269, 270.5]
    turn = np.radians(degrees)
    zero = np.zeros_like(turn)
    arcs = [
        2.0 * np.stack([np.sin(turn), zero, np.cos(turn)], axis=1),
        2.0 * np.stack([zero, np.sin(turn), np.cos(turn)], axis=1),
    ]
    axis = [(0.0, 0.1, s * d - (0.4 if s < 0 else 0)) for s in (1, -1) for d in (0.1, 1, 10, 100)]
    beside = [(0.11, 1.0, 0.0), (0.111, 1.0, 0.001), (0.8, 0.19, 0.0), (0.0, 100.0, 0.0)]
    points = np.concatenate([*arcs, np.array(axis), np.array(beside)])
    points[np.abs(points) < 1e-9] = 0.0
    return points


def worst(
    body: Body | RoundedBody, pistons: list[Piston], frequency: np.ndarray
) -> dict[float, float]:
    """Largest error (dB) of every accuracy within 20 dB of the maximum at equal distance."""
    points = receivers()
    points = points[np.abs(points[:, 1]) < 50] if frequency.max() > 10e3 else points
    truth = solve_field(body, pistons, points, frequency, accuracy=FINEST).values
    reach = np.array([np.linalg.norm(points - piston.centre, axis=1) for piston in pistons])
    found = {}
    for accuracy in ACCURACIES:
        used = solve_field(body, pistons, points, frequency, accuracy=accuracy).values
        found[accuracy] = level_error(used * reach[:, None], truth * reach[:, None])
    return found


def main() -> None:
    smoke = is_smoke(__doc__, "one body at two frequencies")
    row = print_table("body", *(f"{accuracy:g} dB" for accuracy in ACCURACIES))
    for name, (body, pistons, top) in list(TASKS.items())[: 1 if smoke else None]:
        frequency = np.array([200.0, 1000.0]) if smoke else np.geomspace(20.0, top, 9)
        found = worst(body, pistons, frequency)
        row(name, *(f"{x:.3f}" for x in found.values()))


if __name__ == "__main__":
    main()
