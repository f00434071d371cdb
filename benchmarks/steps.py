"""Time spent in the steps of the solver, taken from outside: what is called is wrapped.

A step's time is its own: what it calls, if that is a step too, counts there.
"""

from __future__ import annotations

import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from typing import Any
from unittest.mock import patch

import numpy as np

from acoustics.field import block, kernels

GRID, SIGHTS, PHASES, LIGHT = "points", "sights", "phases of sights", "light on edges"
SWEEPS, WEIGHTS, LAST, FIRST = "sweeps", "weights", "last leg", "direct and first order"
PRODUCTS, TURNS, RADIATE, NEAR = "matrix products", "phases", "radiate", "close edges"
STEPS = (
    (block, "build_grid", GRID),
    (block, "find_sights", SIGHTS),
    (block, "phases_of", PHASES),
    (block, "light_edges", LIGHT),
    (block, "all_orders", SWEEPS),
    (block, "plan_legs", WEIGHTS),
    (block, "radiate_edges", LAST),
    (block, "direct_and_first", FIRST),
    (np, "matmul", PRODUCTS),
    (kernels, "turn_rows", TURNS),
    (kernels, "radiate", RADIATE),
    (kernels, "radiate_near", NEAR),
)
"""Where a function is looked up when the solver calls it, its name, and the step it stands for."""


class Stopwatch:
    """Core seconds of one thread by step; a step is the tuple of names that are running."""

    def __init__(self) -> None:
        self.seconds: dict[tuple[str, ...], float] = defaultdict(float)
        self.counts: dict[tuple[str, ...], int] = defaultdict(int)
        self._running: list[str] = []
        self._since = time.thread_time()

    @contextmanager
    def step(self, name: str) -> Iterator[None]:
        """What happens within belongs to a step inside those that are running."""
        self._book()
        self._running.append(name)
        try:
            yield
        finally:
            self._book()
            self._running.pop()

    def _book(self) -> None:
        now = time.thread_time()
        self.seconds[tuple(self._running)] += now - self._since
        self._since = now

    def count(self) -> None:
        """Count one more in the step that is running, as the solver's checkpoint: sweeps, say."""
        self.counts[tuple(self._running)] += 1

    def timed(self, name: str, function: Callable[..., Any]) -> Callable[..., Any]:
        """`function` as a step; of a generator the time in which it makes its items."""

        def call(*args: Any, **kwargs: Any) -> Any:
            with self.step(name):
                result = function(*args, **kwargs)
            return self._each(name, result) if isinstance(result, Iterator) else result

        return call

    def _each(self, name: str, items: Iterator[Any]) -> Iterator[Any]:
        while True:
            with self.step(name):
                item = next(items, None)
            if item is None:
                return
            yield item

    @contextmanager
    def watching(self) -> Iterator[None]:
        """Time the solver's steps while the block runs, on this thread alone.

        Kernels must have been compiled before: they call one another by the names that are wrapped.
        """
        with ExitStack() as stack:
            for module, function, step in STEPS:
                timed = self.timed(step, getattr(module, function))
                stack.enter_context(patch.object(module, function, timed))
            yield
