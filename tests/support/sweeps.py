"""A small design with a sweep, and stand-ins for what takes time; workers find them by name."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import xarray as xr

from acoustics.case import Case, read_case
from acoustics.studies.sweeps.work import Block, Done, work_on
from support.free_field import solve_free_field

DESIGN = """\
title = "Two-way on a test bench"

[cabinet]
width = "220 mm"
height = "380 mm"
depth = "300 mm"
base_height = "600 mm"

[drivers.tweeter]
piston_diameter = "25 mm"
frame_diameter = "100 mm"
position = ["0 mm", "125 mm"]
sensitivity = 90.0

[drivers.woofer]
piston_diameter = "120 mm"
frame_diameter = "165 mm"
position = ["0 mm", "-20 mm"]
sensitivity = 88.0

[crossover.tweeter]
sections = [
    { type = "high-pass", alignment = "linkwitz-riley", order = 4, frequency = "2.2 kHz" },
]

[crossover.woofer]
sections = [
    { type = "low-pass", alignment = "linkwitz-riley", order = 4, frequency = "2.2 kHz" },
]

[seat]
distance = "2.5 m"
ear_heights = ["0.95 m"]

[floor]
reflection = 0.9

[[aims]]
measure = "floor dip"
at_most = 8.0

[frequencies]
lowest = "100 Hz"
highest = "4 kHz"
per_octave = 3

[arcs]
step = "10 deg"

[sweep]
"""

FINE = DESIGN.replace("per_octave = 3", "per_octave = 12").replace("4 kHz", "16 kHz")
"""With frequencies that cover the band of every number."""

OFFSETS = """
[[sweep.over]]
key = "drivers.tweeter.position.1"
name = "offset"
values = ["0 mm", "20 mm", "40 mm", "5 in"]
"""
"""The last puts the tweeter off the cabinet."""

CORNERS = """
[[sweep.over]]
key = "crossover.tweeter.sections.1.frequency"
also = ["crossover.woofer.sections.1.frequency"]
name = "corner"
start = "1.8 kHz"
stop = "2.6 kHz"
step = "200 Hz"
"""

SAMPLE = """
[sweep.sample]
points = 6
seed = 5

[[sweep.sample.over]]
key = "cabinet.width"
start = "210 mm"
stop = "260 mm"

[[sweep.sample.over]]
key = "crossover.woofer.gain"
start = -3.0
stop = 0
"""


def swept_case(folder: Path, sweep: str = OFFSETS + CORNERS, design: str = DESIGN) -> Case:
    """The design with this sweep, from a file in this folder."""
    folder.mkdir(parents=True, exist_ok=True)
    file = folder / "case.toml"
    file.write_text(design + sweep, encoding="utf-8")
    return read_case(file)


class Inline:
    """Workers that do everything at once, in this process."""

    count = 1

    def submit(self, block: Block) -> Future[Done]:
        future: Future[Done] = Future()
        future.set_result(work_on(block))
        return future

    def renew(self, error: BaseException) -> None:
        raise error


@contextmanager
def inline() -> Iterator[Inline]:
    """`Inline` as a sweep asks for it."""
    yield Inline()


class Counted:
    """The free-field stand-in; counts, and ends with an interruption after `most` calls."""

    def __init__(self, most: float = float("inf")) -> None:
        self.most, self.calls = most, 0

    def __call__(self, *what: Any, **how: Any) -> xr.DataArray:
        self.calls += 1
        if self.calls > self.most:
            raise KeyboardInterrupt
        return solve_free_field(*what, **how)


def slow_free_field(*what: Any, **how: Any) -> xr.DataArray:
    """Free field; leaves its process's number in the folder PIDS and takes a while."""
    (Path(os.environ["PIDS"]) / str(os.getpid())).touch()
    time.sleep(float(os.environ["PAUSE"]))
    return solve_free_field(*what, **how)


def deadly_free_field(*what: Any, **how: Any) -> xr.DataArray:
    """Free field; the first process that comes here is killed."""
    victim = Path(os.environ["PIDS"]) / "victim"
    try:
        victim.touch(exist_ok=False)
    except FileExistsError:
        return solve_free_field(*what, **how)
    os.kill(os.getpid(), signal.SIGKILL)
    raise AssertionError


def alive(process: int) -> bool:
    """Whether a process is there and no zombie."""
    try:
        stat = Path(f"/proc/{process}/stat").read_text()
    except (FileNotFoundError, ProcessLookupError):
        return False
    return stat.rsplit(")", 1)[1].split()[0] != "Z"


def until(true: Callable[[], object], seconds: float = 20.0) -> bool:
    """Wait until something is so; False if it takes too long."""
    end = time.monotonic() + seconds
    while not true():
        if time.monotonic() > end:
            return False
        time.sleep(0.02)
    return True
