"""How long a search for a layout takes, and whether it finds what a grid over all layouts finds.

The shipped compact two-way, tweeter and woofer both free on the front, ripple off axis. In the same
run: the best place of the tweeter alone as a map has it, and the best of all pairs of places of
both drivers, 5 mm apart. The cabinet, the reference axis and the window are symmetrical, so the
pairs with the tweeter in the middle or to the right stand for all.

    python benchmarks/layout_search.py            the full measurement: some minutes for the pairs
    python benchmarks/layout_search.py --smoke    on a coarse grid: checks that it runs
"""

from __future__ import annotations

import resource
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
from common import is_smoke, product_time

import acoustics as ac
from acoustics.case.design.model import Case
from acoustics.case.design.place_model import Place
from acoustics.studies.layout_search.optimiser import judged_aims
from acoustics.studies.layout_search.question import checked_question
from acoustics.studies.layout_search.tabled import tabled
from acoustics.studies.layout_search.variant import variant_of

CASE = Path(__file__).parents[1] / "cases" / "compact-centred"
SPACING, COARSE = 5e-3, 30e-3
"""m: between places of the grid; in a smoke run"""

MOST = 1e-9
"""m"""

BLOCK = 1024
"""pairs that are judged together"""


def best_pair(case: Case, place: Place, spacing: float) -> tuple[float, np.ndarray, int]:
    """The least aim over a grid of places of both drivers, dB, where, and how many were judged."""
    asked = checked_question(case, place)
    variant = variant_of(case, asked, None, (asked.aim,))
    tables = tabled(variant, (asked.aim,), variant.allowed.boxes)
    grids = []
    for box in variant.allowed.boxes:
        lines = [
            spacing * np.arange(np.ceil(low / spacing - 1e-9), np.floor(high / spacing + 1e-9) + 1)
            for low, high in box
        ]
        grids.append(np.stack([each.ravel() for each in np.meshgrid(*lines)], axis=1))
    first = grids[0][grids[0][:, 0] >= -MOST]
    least, where, count = np.inf, np.zeros(4), 0
    waiting = np.empty((0, 4))
    for n, at in enumerate(first):
        rows = np.concatenate([np.repeat(at[None], len(grids[1]), axis=0), grids[1]], axis=1)
        waiting = np.concatenate([waiting, rows[variant.shortfall(rows) <= 0]])
        if (len(waiting) < BLOCK and n < len(first) - 1) or not len(waiting):
            continue
        aims = judged_aims(tables, waiting)[:, 0]
        count += aims.size
        if aims.min() < least:
            least, where = float(aims.min()), waiting[int(aims.argmin())]
        waiting = waiting[:0]
    return least, where, count


def main() -> None:
    """Search, map and grid, one after the other."""
    smoke = is_smoke(__doc__, "a coarse grid and few frequencies")
    case = ac.read_case(CASE)
    place = Place(against=None)
    if smoke:
        grid = replace(case.frequencies, lowest=200.0, highest=3000.0, per_octave=12)
        case = replace(case, frequencies=grid)
        place = replace(place, band=(300.0, 2500.0))
    product = product_time()
    start, cores = time.perf_counter(), time.process_time()
    found = ac.search_layout(case, replace(place, against="sides"))
    took, cores = time.perf_counter() - start, time.process_time() - cores
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        f"search: {took:.1f} s, {took / product:.0f} products of 1200² matrices, {cores:.1f} core "
        f"seconds; {found.tried} layouts judged, peak memory {peak:.0f} MiB"
    )
    best = found.best.figures[place.aim]
    print(
        f"present {found.start.figures[place.aim]:.3f} dB, best {best:.3f} dB at "
        f"{found.best.positions}; tables off by {found.deviation:.3f} dB"
    )
    spacing = COARSE if smoke else SPACING
    mapped = ac.placement_map(case, "tweeter", band=place.band, spacing=spacing)
    print(
        f"tweeter alone, by the map: {float(mapped.spot_relative_ripple.sel(spot='best')):.3f} dB"
    )
    start = time.perf_counter()
    least, where, count = best_pair(case, place, spacing)
    print(
        f"of {count} pairs {1e3 * spacing:g} mm apart: {least:.3f} dB at {1e3 * where} mm, "
        f"{time.perf_counter() - start:.0f} s"
    )


if __name__ == "__main__":
    main()
