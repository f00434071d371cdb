"""A thousand builds of the shipped passive two-way: how long, and how far off their fields are.

python benchmarks/tolerance.py            about a minute on two free cores
python benchmarks/tolerance.py --smoke    a few builds in this process: checks that it runs
"""

from __future__ import annotations

import time
from dataclasses import replace
from pathlib import Path

from common import is_smoke, print_table, product_time

import acoustics as ac
from acoustics.case.design.model import FrequencyGrid
from acoustics.case.objects.usual_tolerance import usual_tolerance

CASE = Path(__file__).parents[1] / "cases" / "compact-passive"
COARSE = FrequencyGrid(lowest=200.0, highest=4000.0, per_octave=4)


def main() -> None:
    smoke = is_smoke(__doc__, "a few builds, few frequencies")
    case = ac.read_case(CASE)
    tolerance = usual_tolerance(case)
    workers = None
    if smoke:
        case = replace(case, frequencies=COARSE, arc_step=10.0)
        tolerance, workers = replace(tolerance, builds=2), 0
    product = product_time()
    row = print_table("builds", "spreads", "time", "products", "for each", "deviation")
    start = time.perf_counter()
    found = ac.tolerance_study(case, tolerance=tolerance, workers=workers)
    seconds = time.perf_counter() - start
    row(
        tolerance.builds,
        len(tolerance.spreads),
        f"{seconds:.1f} s",
        f"{seconds / product:.0f}",
        f"{1000 * seconds / tolerance.builds:.0f} ms",
        f"{found.attrs['deviation']:.3f} dB",
    )


if __name__ == "__main__":
    main()
