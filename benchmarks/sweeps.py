"""How fast sweeps are, as ratios measured within one run.

    python benchmarks/sweeps.py            the full measurement, some minutes
    python benchmarks/sweeps.py --smoke    the same on a few points: checks that it runs

Different cabinets, each solved anew: how near the workers come to the time of one point by itself,
times the points, over the cores. Then the same on a Dask cluster of this machine's, one worker
against two, and against the workers of our own; and one cabinet with many crossovers, which is
solved once.
"""

from __future__ import annotations

import argparse
import resource
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import xarray as xr

import acoustics as ac
from acoustics.field.plan import usable_cores
from acoustics.studies.sweeps.figures import FIGURES
from acoustics.studies.sweeps.space import space_of
from acoustics.studies.sweeps.work import Block, work_on

CASE = Path(__file__).parents[1] / "cases" / "compact-sweep" / "case.toml"
DRIVERS = f'"{CASE.parents[1].as_posix()}/drivers/'
DESIGN = (
    CASE.read_text(encoding="utf-8")
    .split("# Enough for a search")[0]
    .replace('"../drivers/', DRIVERS)
)
PROMISED = 1000
"""cabinets, to which the measured rate is carried on"""

CABINETS = """
[sweep.sample]
points = {points}
seed = 1

[[sweep.sample.over]]
key = "cabinet.width"
start = "210 mm"
stop = "260 mm"

[[sweep.sample.over]]
key = "cabinet.height"
start = "360 mm"
stop = "420 mm"

[[sweep.sample.over]]
key = "cabinet.depth"
start = "250 mm"
stop = "350 mm"
"""

CROSSOVERS = """
[[sweep.over]]
key = "crossover.tweeter.sections.1.frequency"
also = ["crossover.woofer.sections.1.frequency"]
start = "1.6 kHz"
stop = "3.2 kHz"
number = {points}
"""

FINE = """
[frequencies]
per_octave = 24

[sweep]
"""

COARSE = """
[frequencies]
lowest = "100 Hz"
highest = "12 kHz"
per_octave = 6

[arcs]
step = "10 deg"

[sweep]
"""


@dataclass(frozen=True)
class Took:
    """Seconds of a sweep, those before its first point was done, and its numbers.

    `cores` are seconds of all cores together, those of starting among them.
    """

    whole: float
    start: float
    cores: float
    points: int
    numbers: np.ndarray

    @property
    def each(self) -> float:
        """Seconds from one point to the next once all workers are at it."""
        return (self.whole - self.start) / max(self.points - 1, 1)


def case_with(folder: Path, name: str, more: str) -> ac.Case:
    """The design with further tables."""
    file = folder / f"{name}.toml"
    file.write_text(DESIGN + more, encoding="utf-8")
    return ac.read_case(file)


class Alone(NamedTuple):
    """Seconds of a point by itself, on one core: all of it, its field alone, and the core's."""

    whole: float
    solved: float
    core: float


def alone(case: ac.Case, count: int) -> Alone:
    """Medians over some points, one after the other in this process."""
    space = space_of(case.sweep)
    taken = []
    for number in (0, *range(count)):  # the first loads the compiled code
        solving: list[float] = []

        def solve(*what: Any, spent: list[float] = solving, **how: Any) -> xr.DataArray:
            start = time.perf_counter()
            field = ac.solve_field(*what, **how)
            spent.append(time.perf_counter() - start)
            return field

        core = time.process_time()
        done = work_on(Block(case, (number,), (space.changes(number),), {}, {}, False, solve))
        taken.append((done.seconds, sum(solving), time.process_time() - core))
    return Alone(*np.median(taken[1:], axis=0).tolist())


def core_seconds() -> float:
    """Seconds that all cores have spent for this process and those that it has ended."""
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(each.ru_utime + each.ru_stime for each in used)


def timed(case: ac.Case, folder: Path, workers: int, cluster: str | None = None) -> Took:
    """A whole sweep, from nothing to its file."""
    first: list[float] = []
    before = core_seconds()
    start = time.perf_counter()

    def note(done: int, _: int) -> None:
        if done and not first:
            first.append(time.perf_counter() - start)

    found = ac.sweep(case, folder, workers=workers, cluster=cluster, progress=note)
    whole = time.perf_counter() - start
    numbers = found[list(FIGURES)].to_dataarray().values
    return Took(whole, first[0], core_seconds() - before, found.reason.size, numbers)


def throughput(folder: Path, smoke: bool) -> None:
    """Different cabinets against one point by itself times their number over the cores."""
    points, cores = (6 if smoke else 60), usable_cores()
    sweep = CABINETS.format(points=points)
    case = case_with(folder, "cabinets", (COARSE if smoke else FINE) + sweep)
    one = alone(case, 2 if smoke else 7)
    took = timed(case, folder / "cabinets", cores)
    ideal = one.solved / cores
    carried = took.start + PROMISED * took.each
    print(
        f"\n{points} different cabinets, {cores} workers; on one core a point by itself takes "
        f"{one.whole:.2f} s, its field alone {one.solved:.2f} s"
    )
    print("                                      over field · points / cores")
    print(f"  until the first was done {took.start:8.1f} s")
    print(f"  then from one to the next {took.each:7.2f} s   {took.each / ideal:5.2f}")
    print(f"  all, start included      {took.whole:8.1f} s   {took.whole / points / ideal:5.2f}")
    print(
        f"  carried on to {PROMISED} of them {carried:6.0f} s   {carried / PROMISED / ideal:5.2f}"
    )
    print(
        f"  seconds of all cores {took.cores:12.1f}     {took.cores / points / one.core:5.2f} of a "
        "point's own, start included"
    )


def against_dask(folder: Path, smoke: bool) -> None:
    """One Dask worker against two, and two of our own against two of Dask's."""
    points = 8 if smoke else 200
    case = case_with(folder, "many", COARSE + CABINETS.format(points=points))
    kinds = {
        "1 Dask worker": (1, "local"),
        "2 Dask workers": (2, "local"),
        "2 of our own": (2, None),
    }
    took = {
        name: timed(case, folder / name.replace(" ", "-"), workers, cluster)
        for name, (workers, cluster) in kinds.items()
    }
    print(f"\n{points} different cabinets, coarse")
    for name, one in took.items():
        print(f"  {name:16s} {one.whole:6.1f} s, {one.start:.1f} s of it until the first was done")
    one, two, own = took.values()
    print(
        f"  two Dask workers are {one.whole / two.whole:.2f} times as fast as one, start included"
    )
    print(f"  and {one.each / two.each:.2f} times once all are at it")
    print(f"  our own take {own.whole / two.whole:.2f} of the time of Dask's, start included")
    print(f"  and {own.each / two.each:.2f} once all are at it")
    apart = np.nanmax(np.abs(own.numbers - two.numbers) / np.maximum(np.abs(own.numbers), 1e-9))
    print(f"  largest relative difference of a number: {apart:.1e}")


def crossovers(folder: Path, smoke: bool) -> None:
    """One cabinet with many crossovers, which is solved once."""
    points = 4 if smoke else 60
    tables = COARSE if smoke else FINE
    one = case_with(folder, "one", tables + CROSSOVERS.format(points=1).replace("3.2", "1.6"))
    single = alone(one, 1).whole
    case = case_with(folder, "crossovers", tables + CROSSOVERS.format(points=points))
    took = timed(case, folder / "crossovers", usable_cores())
    print(f"\n{points} crossovers of one cabinet; a point by itself {single:.2f} s")
    print(
        f"  from one point to the next {took.each:.3f} s: "
        f"{took.each * usable_cores() / single:.2f} of a point that is solved"
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--smoke", action="store_true", help="a few points")
    smoke = parser.parse_args().smoke
    with tempfile.TemporaryDirectory() as folder:
        throughput(Path(folder), smoke)
        crossovers(Path(folder), smoke)
        try:
            import distributed  # noqa: F401
        except ImportError:
            print("\nDask is not installed, so nothing was held against it", file=sys.stderr)
        else:
            against_dask(Path(folder), smoke)


if __name__ == "__main__":
    main()
