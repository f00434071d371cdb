"""How fast a draft is heard while a hand moves it, against an exact prediction in the same run.

The compact two-way as the live page hears it: about 200 frequencies, all orders of diffraction. For
every kind of change the median and the 95th percentile of what one step of it takes, with the
background at rest, and how far the last step is from the prediction of its draft.

    python benchmarks/live.py            the full measurement
    python benchmarks/live.py --smoke    in a narrow band and with few steps: checks that it runs
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

import numpy as np
from common import is_smoke, level_error, print_table

import acoustics as ac
from acoustics.case.design.model import FrequencyGrid
from acoustics.studies.live.curves import DraftCurves
from acoustics.studies.live.draft import Draft
from acoustics.studies.live.drafts import draft_of
from acoustics.studies.live.engine import Engine
from acoustics.studies.live.exact import exact_curves

CASE = Path(__file__).parents[1] / "cases" / "compact-centred"
NARROW = FrequencyGrid(1000.0, 3000.0, 12)
STEPS, FEW = 60, 6
FIRST = 3
"""steps that are not counted"""


class Times(NamedTuple):
    wall: np.ndarray
    """s, of every step"""
    core: np.ndarray


def drags(start: Draft) -> Iterator[tuple[str, Callable[[int], Draft]]]:
    """Kinds of changes, and the draft of each after so many steps."""

    def moved(driver: int, step: int) -> Draft:
        places = list(start.places)
        right, up = places[driver]
        places[driver] = (right + 3e-4 * step, up - 2e-4 * step)
        return replace(start, places=tuple(places))

    yield "tweeter and axis moved", lambda step: moved(0, step)
    yield "woofer moved", lambda step: moved(1, step)
    yield (
        "corner moved",
        lambda step: replace(start, corners=tuple(f * (1 + 1e-3 * step) for f in start.corners)),
    )
    yield (
        "delay changed",
        lambda step: replace(start, delays=(start.delays[0] + 1e-6 * step, *start.delays[1:])),
    )
    yield (
        "ears moved (coarse)",
        lambda step: replace(start, ear_height=start.ear_height + 1e-3 * step),
    )


def timed(engine: Engine, draft: Callable[[int], Draft], steps: int) -> Times:
    wall, core = [], []
    for step in range(1, steps + FIRST + 1):
        one = draft(step)
        begun, spent = time.perf_counter(), time.process_time()
        engine.quick(one)
        wall.append(time.perf_counter() - begun)
        core.append(time.process_time() - spent)
    return Times(np.array(wall[FIRST:]), np.array(core[FIRST:]))


def off(found: DraftCurves, truth: DraftCurves) -> float:
    """Largest difference of levels within 20 dB of each curve's loudest, dB."""
    return max(
        level_error(*(10 ** (np.atleast_2d(getattr(each, name)) / 20) for each in (found, truth)))
        for name in ("axis", "window", "aside", "lobes")
    )


def main() -> None:
    smoke = is_smoke(__doc__, "a narrow band and few steps")
    case = ac.read_case(CASE)
    if smoke:
        case = replace(case, frequencies=NARROW)
    start, steps = draft_of(case), FEW if smoke else STEPS
    exact_curves(case, start)  # compiled, or read from the cache
    begun, spent = time.perf_counter(), time.process_time()
    exact_curves(case, start)
    exact_wall, exact_core = time.perf_counter() - begun, time.process_time() - spent
    engine = Engine(case)
    begun = time.perf_counter()
    first = engine.quick(start)
    coarse = time.perf_counter() - begun
    begun, spent = time.perf_counter(), time.process_time()
    engine.prepare(start)
    prepared = time.perf_counter() - begun, time.process_time() - spent
    print(
        f"exact prediction: {exact_wall:.2f} s, {exact_core:.2f} core s; first {first.state} "
        f"curves after {1e3 * coarse:.0f} ms; prepared in {prepared[0]:.1f} s "
        f"({prepared[1]:.1f} core s, {prepared[1] / exact_core:.1f} predictions)"
    )
    row = print_table(
        "change", "state", "median ms", "95 % ms", "core ms", "prediction / step, core", "off, dB"
    )
    for name, draft in drags(start):
        times = timed(engine, draft, steps)
        last = draft(steps + FIRST)
        found = engine.quick(last)
        core = float(np.median(times.core))
        row(
            name,
            found.state,
            f"{1e3 * np.median(times.wall):.1f}",
            f"{1e3 * np.percentile(times.wall, 95):.1f}",
            f"{1e3 * core:.1f}",
            f"{exact_core / core:.0f}",
            f"{off(found, exact_curves(case, last)):.3f}",
        )
    engine.close()


if __name__ == "__main__":
    main()
