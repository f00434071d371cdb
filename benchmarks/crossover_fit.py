"""Fitting a passive crossover to the shipped two-way: how long, and how near it comes.

python benchmarks/crossover_fit.py            half a minute to a minute
python benchmarks/crossover_fit.py --smoke    two shapes only: checks that it runs
"""

from __future__ import annotations

import time
from dataclasses import replace
from pathlib import Path

import numpy as np
from common import is_smoke, print_table, product_time

import acoustics as ac
from acoustics.case.design.fit_model import Fit
from acoustics.case.design.topology import topology_of
from acoustics.studies.crossover_fit import fit_crossover
from acoustics.studies.remembered import Remembered

CASE = Path(__file__).parents[1] / "cases" / "compact-centred"
FEW = (
    ("woofer", (topology_of("low-pass 2"),)),
    ("tweeter", (topology_of("high-pass 2 + resistor"),)),
)


def main() -> None:
    smoke = is_smoke(__doc__, "two shapes only")
    case = ac.read_case(CASE)
    if smoke:
        case = replace(case, fit=Fit(topologies=FEW))
    product = product_time()
    solve = Remembered(None, {})
    # Kernels loaded, and the field known: both are measured elsewhere.
    ac.predict(case, solve=solve)
    row = print_table("search", "crossovers tried", "time", "products", "parts", "window ± dB")
    for name, workers in (("one process", 0), ("a process for each core", None)):
        start = time.perf_counter()
        fitted = fit_crossover(case, workers=workers, solve=solve)
        seconds = time.perf_counter() - start
        window = float(np.ptp(fitted.best.residuals.listening_window)) / 2
        row(
            name,
            fitted.tried,
            f"{seconds:.1f} s",
            f"{seconds / product:.0f}",
            fitted.best.outcome.pieces,
            f"{window:.2f}",
        )


if __name__ == "__main__":
    main()
