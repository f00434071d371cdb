"""How fast the program is, as ratios measured within one run.

A time alone says as much about the machine as about the program, so every figure stands beside a
yardstick taken in the same run: a fixed amount of matrix products.

    python benchmarks/run.py            the full measurement (a minute or two)
    python benchmarks/run.py --smoke    four frequencies to 2 kHz: checks that it runs
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from common import (
    BODIES,
    BOX,
    MATRIX,
    PISTONS,
    all_round,
    best_time,
    is_smoke,
    level_error,
    print_table,
    product_time,
)

import acoustics as ac

CASE = Path(__file__).parents[1] / "cases" / "compact-centred" / "case.toml"

Rows = list[tuple[str, float, float | None]]
"""What was done, seconds, and dB off the truth."""


def fields(smoke: bool, repeats: int) -> Rows:
    """Whole fields of every body, timed and held against finer rules in the same run."""
    frequency = np.geomspace(20.0, 2e3, 4) if smoke else np.geomspace(20.0, 20e3, 240)
    checked = frequency[:: 2 if smoke else 60]
    receivers = all_round(20 if smoke else 150)
    rows: Rows = []
    for name, body in BODIES.items():
        ac.solve_field(body, PISTONS, receivers, checked)
        seconds = best_time(
            lambda b=body: ac.solve_field(b, PISTONS, receivers, frequency), repeats
        )
        found = ac.solve_field(body, PISTONS, receivers, frequency).sel(frequency=checked)
        truth = ac.solve_field(body, PISTONS, receivers, checked, accuracy=0.01)
        rows.append((name, seconds, level_error(found.values, truth.values)))
    few = receivers[:: len(receivers) // 9][:9]
    heard = ac.face_field(BOX, 0, few, frequency)
    heard.field(PISTONS)
    for name, piston in zip(("tweeter", "woofer"), PISTONS, strict=True):
        seconds = best_time(lambda p=piston: heard.field([p]), 3 * repeats)
        truth = ac.solve_field(BOX, [piston], few, checked, accuracy=0.01)
        found = heard.field([piston]).sel(frequency=checked)
        error = level_error(found.values, truth.values)
        rows.append((f"{name} moved, 9 receivers (`face_field`)", seconds, error))
    return rows


def _short(ratio: float) -> str:
    return f"{ratio:.1f}" if ratio < 10 else f"{ratio:.0f}"


def main() -> None:
    smoke = is_smoke(__doc__, "four frequencies to 2 kHz")
    repeats = 1 if smoke else 3
    product = product_time()
    rows = fields(smoke, repeats)
    if not smoke:
        case = ac.read_case(CASE)
        whole = best_time(lambda: ac.predict(case), repeats)
        rows.append(("whole prediction of the compact two-way", whole, None))
    print(f"one product of {MATRIX}² matrices: {1e3 * product:.1f} ms")
    row = print_table("what", "time", "products", "off by at most")
    for name, seconds, error in rows:
        shown = f"{seconds:.2f} s" if seconds > 0.1 else f"{1e3 * seconds:.0f} ms"
        off = "" if error is None else f"{error:.2f} dB"
        row(name, shown, _short(seconds / product), off)


if __name__ == "__main__":
    main()
