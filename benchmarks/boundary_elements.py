"""The solver against boundary elements: a stock library, the same body, at equal error.

python benchmarks/boundary_elements.py            ten frequencies (about an hour, 3 GiB)
python benchmarks/boundary_elements.py --smoke    one, on a tiny mesh: checks that it runs

Needs the extra: pip install '.[bem]'. Both are warm, in core time of one process on the same cores,
and held against the solver's finest rules. Towards these the boundary elements converge too: the
finer the mesh, the smaller their error, and they know nothing of edges or diffraction.
"""

from __future__ import annotations

import sys
import time

import numpy as np
from bem_solver import Surface, boundary_field
from box_mesh import box_mesh
from common import BOX, TWEETER, all_round, best_time, is_smoke, level_error, print_table

import acoustics as ac

SIZE = (0.21, 0.36, 0.28)
FREQUENCIES = np.arange(1800.0, 2300.0, 50.0)
"""Hz: ten in the third-octave band of 2 kHz"""

MESHES = ((0.0125, 4), (0.0125, 2))
"""m between the mesh's lines, chosen so that both err by as much, and the order of the Gauss rules
on triangles that do not touch: 4 is the library's own choice, 2 the cheapest that errs no more on
this mesh"""

SMOKE_CELL, SMOKE_ORDER, SMOKE_FREQUENCIES = 0.07, 2, np.array([300.0])
SMOKE_LIMIT = 0.5
"""dB by which a coarse mesh may be off at 300 Hz"""

SIDES, SMOKE_SIDES = 12, 6
"""of the polygon that stands for the piston, 0.4 of a radian round at 2 kHz"""


def boundary_elements(
    surface: Surface, receivers: np.ndarray, frequency: np.ndarray, order: int
) -> tuple[float, np.ndarray]:
    """Core seconds per frequency, and the field (frequency, receiver)."""
    found, start = [], time.process_time()
    for f in frequency:
        found.append(boundary_field(surface, receivers, f, order))
        spent = time.process_time() - start
        print(f"{surface.elements} elements, to {f:g} Hz: {spent:.1f} s", file=sys.stderr)
    return spent / len(frequency), np.array(found)


def meshed(cell: float) -> Surface:
    sides = SIDES if cell < SMOKE_CELL else SMOKE_SIDES
    return Surface(box_mesh(SIZE, TWEETER.centre[:2], TWEETER.radius, cell, sides))


def main() -> None:
    smoke = is_smoke(__doc__, "one frequency on a tiny mesh")
    receivers = all_round(20 if smoke else 150)
    frequency = SMOKE_FREQUENCIES if smoke else FREQUENCIES

    def ours(accuracy: float = 0.1) -> np.ndarray:
        field: np.ndarray = ac.solve_field(
            BOX, [TWEETER], receivers, frequency, accuracy=accuracy
        ).values[0]
        return field

    truth = ours(0.01 if smoke else 0.001)
    off = level_error(ours(), truth)
    seconds = best_time(ours, 3 if smoke else 20, time.process_time) / len(frequency)
    row = print_table("", "elements", "core time per frequency", "off by at most", "times as long")
    row("the solver, accuracy 0.1 dB", "", f"{1e3 * seconds:.2f} ms", f"{off:.3f} dB", "1")
    boundary_field(meshed(SMOKE_CELL), receivers, frequency[0], SMOKE_ORDER)  # compiles
    for cell, order in ((SMOKE_CELL, SMOKE_ORDER),) if smoke else MESHES:
        surface = meshed(cell)
        each, field = boundary_elements(surface, receivers, frequency, order)
        off = level_error(field, truth)
        name = f"boundary elements, lines {1e3 * cell:g} mm apart, rules of order {order}"
        row(name, surface.elements, f"{each:.1f} s", f"{off:.3f} dB", f"{each / seconds:,.0f}")
    if smoke and off > SMOKE_LIMIT:
        raise SystemExit(f"boundary elements and the solver are {off:.2f} dB apart")


if __name__ == "__main__":
    main()
