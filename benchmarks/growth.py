"""How the time grows with what is asked, and every step of it with the number of edge points.

python benchmarks/growth.py            draws growth.png, prints the tables (a minute or two)
python benchmarks/growth.py --smoke    the first of every row, nothing drawn: checks that it runs
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from unittest.mock import patch

import numpy as np
from common import BOX, PISTONS, TWEETER, all_round, best_time, is_smoke, print_table
from matplotlib.axes import Axes
from matplotlib.ticker import FixedLocator, FuncFormatter, LogLocator, NullLocator
from steps import (
    FIRST,
    GRID,
    LAST,
    LIGHT,
    NEAR,
    PHASES,
    PRODUCTS,
    RADIATE,
    SIGHTS,
    SWEEPS,
    TURNS,
    WEIGHTS,
    Stopwatch,
)

import acoustics as ac
from acoustics.field import block
from acoustics.field.blas import one_blas_thread
from acoustics.field.grid import Grid
from acoustics.field.plan import problem_at
from acoustics.field.resolution import resolution_for
from acoustics.figures import style
from acoustics.figures.save import DOTS_PER_INCH

RECEIVERS = all_round(1200)
FREQUENCIES = np.geomspace(20.0, 20e3, 960)
DRIVERS = [ac.Piston(0.0127, (x, y, 0.0)) for y in (0.1, -0.1, 0.0, 0.05) for x in (-0.05, 0.05)]
SIDES = (4, 6, 8, 12, 16, 24)
KILOHERTZ = (1.25, 2.5, 5.0, 10.0, 20.0, 40.0)
SPEED = 343.0
COLUMNS = 16
"""frequencies by which the steps are timed"""
APART = 0.085
"""of a panel's height, between the names of two curves"""

SWEEP = "one sweep"
STEPS: dict[str, tuple[tuple[str, ...], ...]] = {
    "points on edges": ((GRID,),),
    "sights' tables": ((SIGHTS,),),
    "phases' tables": ((PHASES,),),
    "light on edges": ((LIGHT,),),
    SWEEP: ((SWEEPS,), (SWEEPS, PRODUCTS), (SWEEPS, TURNS)),
    "last leg: weights": ((WEIGHTS,),),
    "last leg: sums": ((LAST,), (LAST, PRODUCTS), (LAST, RADIATE), (LAST, NEAR), (LAST, TURNS)),
    "direct, first order": ((FIRST,), (FIRST, PRODUCTS), (FIRST, RADIATE)),
}
SHOWN = (
    "sights' tables", SWEEP, "last leg: weights", "last leg: sums", "direct, first order",
)  # fmt: skip

Points = list[tuple[float, float]]
"""What was asked, and core seconds."""

Series = dict[str, list[tuple[int, dict[str, float]]]]
"""By what makes the number of edge points grow: that number, and core seconds of every step."""

HEAD = (
    "How does the time grow?",
    "Box 210 × 360 × 280 mm and prisms of its size, accuracy 0.1 dB",
    "Grey: in proportion (dashed), as the square (dotted)",
)
WORDS = """Exponents: of the upper half
of each curve.

Below: the steps and their
exponents, for 16 frequencies
at once and 75 receivers, by
the rules for square edges."""


@dataclass(frozen=True)
class Law:
    """How the time of a whole field grows with one thing that is asked."""

    what: str
    values: tuple[float, ...]
    work: Callable[[Any], object]


def prism(sides: int) -> ac.Body:
    """A body with a regular polygon as front, of the plain box's front area and depth."""
    area, depth = 0.21 * 0.36, 0.28
    radius = math.sqrt(2.0 * area / (sides * math.sin(2.0 * math.pi / sides)))
    turn = 2.0 * np.pi * (np.arange(sides) + 0.5) / sides
    return ac.body_from_corners(
        [(radius * np.cos(t), radius * np.sin(t), z) for t in turn for z in (0.0, -depth)]
    )


LAWS = (
    Law(
        "single frequency, kHz",
        KILOHERTZ,
        lambda f: ac.solve_field(BOX, PISTONS, RECEIVERS[:75], [1e3 * f]),
    ),
    Law(
        "edges of a prism, 2 kHz",
        tuple(3 * n for n in SIDES),
        lambda n: ac.solve_field(prism(n // 3), [TWEETER], RECEIVERS[:75], [2e3]),
    ),
    Law(
        "receivers, 120 frequencies",
        (75, 150, 300, 600, 1200),
        lambda n: ac.solve_field(BOX, PISTONS, RECEIVERS[:n], FREQUENCIES[::8]),
    ),
    Law(
        "drivers, 120 frequencies",
        (1, 2, 4, 8),
        lambda n: ac.solve_field(BOX, DRIVERS[:n], RECEIVERS[:75], FREQUENCIES[::8]),
    ),
    Law(
        "frequencies",
        (60, 120, 240, 480, 960),
        lambda n: ac.solve_field(BOX, PISTONS, RECEIVERS[:75], FREQUENCIES[:: 960 // n]),
    ),
)


def measured(law: Law, smoke: bool) -> Points:
    law.work(law.values[0])
    values = law.values[:2] if smoke else law.values
    return [
        (value, best_time(lambda v=value: law.work(v), 1 if smoke else 3, time.process_time))
        for value in values
    ]


def steps_of(body: ac.Body, frequency: float, repeats: int) -> tuple[int, dict[str, float]]:
    """Edge points of one block, and seconds of its steps by the rules for square edges.

    Fewer rules where faces turn by little would tell of those, not of the number of points.
    """
    wavenumber = 2.0 * np.pi * frequency / SPEED * np.linspace(0.9, 1.0, COLUMNS)
    problem = problem_at(body, [TWEETER], RECEIVERS[:75], float(wavenumber[-1]), 0.1)
    best: dict[str, float] = dict.fromkeys(STEPS, math.inf)
    grids: list[Grid] = []
    build = block.build_grid

    def kept(*given: Any) -> Grid:
        grids.append(build(*given))
        return grids[-1]

    with one_blas_thread():
        block.solve_block(problem, wavenumber[:1], resolution_for(0.1))  # compiles
        for _ in range(repeats):
            watch = Stopwatch()
            with patch.object(block, "build_grid", kept), watch.watching():
                block.solve_block(problem, wavenumber, resolution_for(0.1), watch.count)
            for name, steps in STEPS.items():
                seconds = sum(watch.seconds[step] for step in steps)
                times = watch.counts[SWEEPS,] if name == SWEEP else 1
                best[name] = min(best[name], seconds / times)
    return grids[-1].nodes, best


def exponent(points: Points) -> float:
    """Of the straight line through the upper half, in logarithms."""
    upper = np.log(points[len(points) // 2 :] if len(points) > 3 else points)
    return float(np.polyfit(upper[:, 0], upper[:, 1], 1)[0])


def draw(laws: list[Points], series: Series) -> None:
    """All of it as one figure, growth.png beside this file."""
    figure, corner = style.new_figure(9.0)
    corner[0, 0].remove()
    figure.set_size_inches(9.6, 9.0)
    style.head(figure, *HEAD)
    upper, lower = figure.subfigures(2, 1, height_ratios=(2.0, 1.3))
    panels = upper.subplots(2, 3).ravel()
    for law, points, panel in zip(LAWS, laws, panels[:-1], strict=True):
        x, seconds = np.array(points).T
        style.labels(panel, law.what, "core time, ms")
        _curves(panel, x, {"": 1e3 * seconds}, law.values)
        where = {"transform": panel.transAxes}
        style.note(panel, 0.05, 0.88, f"exponent {exponent(points):.1f}", **where)
    panels[-1].axis("off")
    style.note(panels[-1], 0.0, 0.95, WORDS, va="top", transform=panels[-1].transAxes)
    for panel, (name, found) in zip(lower.subplots(1, 2), series.items(), strict=True):
        counts = np.array([count for count, _ in found], dtype=float)
        curves = {step: np.array([1e3 * seconds[step] for _, seconds in found]) for step in SHOWN}
        style.labels(panel, f"edge points N: {name}", "core time, ms")
        _curves(panel, counts, curves, ())
        _name_ends(panel, counts, curves)
    figure.savefig(
        Path(__file__).with_name("growth.png"), dpi=DOTS_PER_INCH, metadata={"Software": None}
    )


def _name_ends(panel: Axes, x: np.ndarray, curves: dict[str, np.ndarray]) -> None:
    """Every curve's name and exponent right of its end, moved apart where they would overlap."""
    low, high = np.log(panel.get_ylim())
    heights = {name: (math.log(y[-1]) - low) / (high - low) for name, y in curves.items()}
    least = -math.inf
    for index, name in sorted(enumerate(curves), key=lambda pair: heights[pair[1]]):
        least = max(heights[name], least + APART)
        power = exponent(list(zip(x, curves[name], strict=True)))
        text, colour = f"{name}: {power:.1f}", style.SERIES[index]
        style.note(panel, 1.02, least, text, color=colour, va="center", transform=panel.transAxes)


def _curves(
    panel: Axes, x: np.ndarray, curves: dict[str, np.ndarray], asked: Sequence[float]
) -> None:
    """Curves in logarithms with guides; ticks at what was asked, or at ends and middle."""
    panel.set_xscale("log")
    panel.set_yscale("log")
    every = np.concatenate(list(curves.values()))
    low, high = every.min() / 1.5, every.max() * 1.8
    ends = np.array([x[0] / 1.1, x[-1] * 1.1])
    for power, dashes in ((1, (0, (6, 3))), (2, (0, (1, 2)))):
        # Through the last point of the tallest curve, so that the end shows what is steeper.
        top = max(values[-1] for values in curves.values())
        panel.plot(ends, top * (ends / x[-1]) ** power, color=style.QUIET, lw=1, linestyle=dashes)
    for index, (name, values) in enumerate(curves.items()):
        look = {"color": style.SERIES[index % 5], "lw": 1.6, "marker": "o", "ms": 3.5}
        panel.plot(x, values, label=name or "_", **look)
    panel.set_xlim(*ends)
    panel.set_ylim(low, high)
    ticks = asked or x[[0, len(x) // 2, -1]]
    panel.xaxis.set_major_locator(FixedLocator(list(ticks)))
    panel.xaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
    panel.xaxis.set_minor_locator(NullLocator())
    panel.yaxis.set_major_locator(LogLocator(subs=(1.0, 2.0, 5.0) if high < 60 * low else (1.0,)))
    panel.yaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
    panel.yaxis.set_minor_locator(NullLocator())


def main() -> None:
    smoke = is_smoke(__doc__, "the first of every row, nothing drawn")
    laws = [measured(law, smoke) for law in LAWS]
    row = print_table("time over the first of the row", "of the values", "exponent at the end")
    for law, points in zip(LAWS, laws, strict=True):
        asked = ", ".join(f"{value:g}" for value, _ in points)
        grown = ", ".join(f"{seconds / points[0][1]:.2g}" for _, seconds in points)
        row(f"{law.what}: {asked}", grown, f"{exponent(points):.1f}")
    repeats, most = (1, 2) if smoke else (3, None)
    series: Series = {
        "the box, by frequency": [
            steps_of(BOX, 1e3 * f, repeats) for f in (*KILOHERTZ, 80.0)[:most]
        ],
        "prisms, by edges": [steps_of(prism(n), 8e3, repeats) for n in SIDES[:most]],
    }
    row = print_table(
        "exponent of N at the end",
        *(f"{name} (N {found[0][0]} to {found[-1][0]})" for name, found in series.items()),
    )
    for step in STEPS:
        powers = [
            exponent([(count, seconds[step]) for count, seconds in found])
            for found in series.values()
        ]
        row(step, *(f"{power:.1f}" for power in powers))
    if not smoke:
        draw(laws, series)


if __name__ == "__main__":
    main()
