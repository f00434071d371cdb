"""Where the time goes, and how far it is from what the matrix products alone would take.

python benchmarks/shares.py            all bodies (about half a minute)
python benchmarks/shares.py --smoke    twelve frequencies: checks that it runs

One core does all blocks one after the other, so that steps can be timed from outside.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable
from typing import Any
from unittest.mock import patch

import numpy as np
from common import BODIES, BOX, PISTONS, all_round, best_time, is_smoke, print_table
from steps import (
    FIRST,
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
from acoustics.field.plan import MEMORY, Shape, plan_field, usable_cores

SHOWN = [name for name in BODIES if not name.startswith("plate")]
COARSER = "coarser solution, for the error estimate"
ROWS: dict[str, tuple[tuple[str, ...], ...]] = {
    "what edges see of each other: tables": ((SIGHTS,),),
    "phases between edges: tables": ((PHASES,),),
    "first light on the edges": ((LIGHT,),),
    "sweeps: matrix products": ((SWEEPS, PRODUCTS),),
    "sweeps: phases": ((SWEEPS, TURNS),),
    "sweeps: the rest": ((SWEEPS,),),
    "last leg: β, weights": ((WEIGHTS,),),
    "last leg: matrix products": ((LAST, PRODUCTS),),
    "last leg: phases": ((LAST, TURNS),),
    "last leg: from edges to receivers": ((LAST, RADIATE),),
    "last leg: by pieces of close edges": ((LAST, NEAR),),
    "direct sound and first order": ((FIRST,), (FIRST, PRODUCTS), (FIRST, RADIATE)),
    COARSER: (),
    "the rest": (),
}

Shapes = Counter[tuple[tuple[int, ...], tuple[int, ...], str]]
"""How often arrays of two shapes and a precision were multiplied."""


def solve_alone(body: Shape, frequency: np.ndarray, watch: Stopwatch) -> None:
    """All blocks of a field on this thread; the coarser solutions in a step of their own."""
    plan = plan_field(body, all_round(150), frequency, None, 0.1, MEMORY, len(PISTONS))
    with one_blas_thread():
        for number in range(len(plan.blocks)):
            problem, waves = plan.problem(number, PISTONS), plan.waves(number)
            rules = plan.rules(problem)
            block.solve_block(problem, plan.solved_at(number), rules)
            with watch.step(COARSER):
                block.solve_block(problem, waves[plan.judged_at(number)], rules.coarser())


def shares(body: Shape, frequency: np.ndarray) -> tuple[float, dict[str, float]]:
    """Core seconds of a field, and the share of every row of the table."""
    solve_alone(body, frequency[:: len(frequency) // 4], Stopwatch())  # compiles
    watch = Stopwatch()
    with watch.watching():
        solve_alone(body, frequency, watch)
    del watch.seconds[()]  # before the first step
    total = sum(watch.seconds.values())
    found = {row: sum(watch.seconds[step] for step in steps) for row, steps in ROWS.items()}
    found[COARSER] = sum(s for step, s in watch.seconds.items() if step[:1] == (COARSER,))
    found["the rest"] = total - sum(found.values())
    return total, {row: seconds / total for row, seconds in found.items()}


def products(frequency: np.ndarray) -> Shapes:
    """The shapes of all matrix products of the plain box's field."""
    found: Shapes = Counter()
    multiply = np.matmul

    def counted(one: np.ndarray, other: np.ndarray, **kwargs: Any) -> Any:
        found[one.shape, other.shape, one.dtype.name] += 1
        return multiply(one, other, **kwargs)

    with patch.object(np, "matmul", counted):
        solve_alone(BOX, frequency, Stopwatch())
    return found


def additions(one: tuple[int, ...], other: tuple[int, ...]) -> int:
    """Multiply-adds of a product of two stacks of matrices."""
    return int(np.prod(one)) * other[-1]


def again(shapes: Shapes) -> float:
    """Seconds of the same products by themselves, on one core, operands made beforehand."""
    rng, total = np.random.default_rng(1), 0.0
    with one_blas_thread():
        for (one, other, real), times in shapes.items():
            a, b = (rng.standard_normal(shape).astype(real) for shape in (one, other))
            total += times * best_time(lambda a=a, b=b: np.matmul(a, b), 2, time.thread_time)
    return total


def one_large(size: int = 3000) -> float:
    """Multiply-adds per second of one large product in single precision, on one core."""
    matrix = np.random.default_rng(1).standard_normal((size, size)).astype(np.float32)
    with one_blas_thread():
        return size**3 / best_time(lambda: matrix @ matrix, 3, time.thread_time)


def the_floor(frequency: np.ndarray, repeats: int, core_seconds: float) -> None:
    """Print what the plain box's matrix products would take, beside what its field takes."""
    shapes = products(frequency)
    count = sum(times * additions(one, other) for (one, other, _), times in shapes.items())
    alone, rate, cores = again(shapes), one_large(), usable_cores()
    field: Callable[[], object] = lambda: ac.solve_field(BOX, PISTONS, all_round(150), frequency)  # noqa: E731
    wall = best_time(field, repeats)
    row = print_table("plain box", "core seconds", f"on {cores} cores", "of the field's time")
    for name, seconds in (
        ("its products at the rate of one large product (the floor)", count / rate),
        ("its products by themselves", alone),
    ):
        row(name, f"{seconds:.3f}", f"{seconds / cores:.3f} s", f"{seconds / cores / wall:.0%}")
    row("its field", f"{core_seconds:.3f}", f"{wall:.3f} s", "100%")
    print(
        f"\n{count / 1e9:.1f}·10⁹ multiply-adds in {sum(shapes.values())} products; one large "
        f"product does {rate / 1e9:.0f}·10⁹ a second on one core, these "
        f"{count / alone / 1e9:.0f}·10⁹"
    )


def main() -> None:
    smoke = is_smoke(__doc__, "twelve frequencies")
    frequency = np.geomspace(20.0, 20e3, 12 if smoke else 240)
    repeats, names = (1, SHOWN[:1]) if smoke else (3, SHOWN)
    found = {}
    for name in names:
        ac.solve_field(BODIES[name], PISTONS, all_round(9), frequency[::60])  # compiled, warm
        found[name] = min((shares(BODIES[name], frequency) for _ in range(repeats)), key=first)
    row = print_table("share of core time", *names)
    row("core seconds", *(f"{found[name][0]:.2f}" for name in names))
    for step in ROWS:
        row(step, *(f"{found[name][1][step]:.0%}" for name in names))
    the_floor(frequency, repeats, found["plain box"][0])


def first(pair: tuple[float, dict[str, float]]) -> float:
    return pair[0]


if __name__ == "__main__":
    main()
