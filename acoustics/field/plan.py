"""What is to be solved, split into blocks of frequencies that fit the memory."""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import xarray as xr

from acoustics.cabinet import Body, Piston, RoundedBody, refuse_shallow
from acoustics.conventions import Air, RoundoverError
from acoustics.field.between import solved_at
from acoustics.field.block import Problem, Solved, least_memory, memory_needed
from acoustics.field.checks import (
    checked_accuracy,
    checked_frequency,
    checked_receivers,
    refuse_inside,
)
from acoustics.field.estimate import error_shares, estimated_levels
from acoustics.field.grid import edge_table
from acoustics.field.resolution import Resolution, resolution_for
from acoustics.field.workers import Checkpoint, First, Second, both_jobs

BLOCK_RATIO = 2.0**0.8
"""Highest over lowest frequency of a block that has a grid of its own."""

MEMORY = 4.0 * 2**30
"""bytes that the tables of all blocks at work may take, unless told"""

Progress = Callable[[int, int], None]

Shape = Body | RoundedBody
"""What can be solved: a polyhedron, or one with rounds, whose facets depend on the wavelength."""


@dataclass(frozen=True)
class Plan:
    """Body, receivers and frequencies, and the blocks in which they are solved."""

    body: Shape
    receivers: np.ndarray
    frequency: np.ndarray
    """Hz, as asked"""
    order: np.ndarray
    """which of them come one after the other"""
    air: Air
    accuracy: float
    resolution: Resolution
    blocks: tuple[slice, ...]
    posed: tuple[Problem, ...]
    """every block's body and the receivers, without pistons"""
    sizes: tuple[float, ...]
    """bytes that every block takes, about"""
    workers: int
    """how many blocks fit the memory side by side, and have a core"""

    @property
    def wavenumber(self) -> np.ndarray:
        """rad/m, ascending."""
        answer: np.ndarray = 2.0 * np.pi * self.frequency[self.order] / self.air.speed_of_sound
        return answer

    def waves(self, number: int) -> np.ndarray:
        """Wavenumbers of a block, rad/m."""
        return self.wavenumber[self.blocks[number]]

    def solved_at(self, number: int) -> np.ndarray:
        """Wavenumbers at which a block is solved, rad/m: its own, or fewer that serve them all."""
        return solved_at(self.waves(number), self.posed[number].body, self.accuracy)

    def problem(self, number: int, pistons: Sequence[Piston]) -> Problem:
        """What is to be solved in a block; raises what `Problem.with_pistons` raises."""
        return self.posed[number].with_pistons(pistons)

    def rules(self, problem: Problem) -> Resolution:
        """Fineness of the rules for a block's body."""
        return self.resolution.for_turn(problem.shallowest)

    def judged_at(self, number: int) -> list[int]:
        """Which frequencies of a block are solved twice: the last; of the lowest the first too.

        That errs most where sound dies out slowest.
        """
        return [0, -1] if number == 0 else [-1]

    def errors(
        self, number: int, problem: Problem, solved: Solved, rough: np.ndarray
    ) -> np.ndarray:
        """Estimated errors of a block's levels, dB, (source, frequency, receiver).

        Args:
            number: of the block.
            problem: what was solved.
            solved: the block's field.
            rough: the field at `judged_at` by coarser rules.
        """
        shares = error_shares(problem, solved.pressure[:, self.judged_at(number)], rough)
        estimate = estimated_levels(problem, solved, shares)
        if isinstance(self.body, RoundedBody):
            wavelength = 2.0 * np.pi / self.waves(number)
            facets = self.body.facets(wavelength[-1], self.accuracy)
            estimate += self.body.error(wavelength, facets)[None, :, None]
        return estimate

    def answer(
        self,
        pistons: Sequence[Piston],
        posed: Sequence[Problem],
        fine: Callable[[int, Checkpoint], Solved],
        rough: Callable[[int, Checkpoint], np.ndarray],
        progress: Progress | None = None,
    ) -> xr.DataArray:
        """Solve every block and label the whole; see `solve_field`.

        Args:
            pistons: the sources.
            posed: what is to be solved, of every block.
            fine: the field of a block by its number.
            rough: likewise, at `judged_at` by coarser rules.
            progress: as in `solve_field`.

        Raises:
            RoundoverError: a value that is no number.
        """
        shape = len(pistons), self.frequency.size, len(self.receivers)
        pressure, error = np.empty(shape, dtype=complex), np.empty(shape)
        for number, solved, against in self.both(fine, rough, progress):
            pressure[:, self.blocks[number]] = solved.pressure
            error[:, self.blocks[number]] = self.errors(number, posed[number], solved, against)
        return self.labelled(pistons, pressure, error)

    def both(
        self,
        fine: Callable[[int, Checkpoint], First],
        rough: Callable[[int, Checkpoint], Second],
        progress: Progress | None,
    ) -> Iterator[tuple[int, First, Second]]:
        """`both_jobs` for every block; `progress` is told how many frequencies are done."""
        done = 0
        for number, whole, ends in both_jobs(self.sizes, self.workers, fine, rough):
            yield number, whole, ends
            done += self.blocks[number].stop - self.blocks[number].start
            if progress is not None:
                progress(done, self.frequency.size)

    def labelled(
        self, pistons: Sequence[Piston], pressure: np.ndarray, error: np.ndarray
    ) -> xr.DataArray:
        """The answer with its names and units, frequencies as asked; see `solve_field`.

        Args:
            pistons: the sources.
            pressure: complex (piston, ascending frequency, receiver), a free point source giving
                exp(−jkR)/R.
            error: dB, likewise.

        Raises:
            RoundoverError: a value that is no number.
        """
        if not np.isfinite(pressure).all():
            bad = self.frequency[self.order][~np.isfinite(pressure).all(axis=(0, 2))][0]
            raise RoundoverError(
                f"the field at {bad:g} Hz came out as no number; this is a fault of the solver: "
                "another accuracy, or a driver moved by a millimetre, may get round it"
            )
        back = np.argsort(self.order, kind="stable")
        omega = self.wavenumber * self.air.speed_of_sound
        scale = 1j * omega * self.air.density / (4.0 * np.pi)
        return xr.DataArray(
            (pressure * scale[None, :, None])[:, back],
            dims=("piston", "frequency", "receiver"),
            coords={
                "frequency": self.frequency,
                "error_estimate": (
                    ("piston", "frequency", "receiver"),
                    error[:, back],
                    {"units": "dB", "long_name": "estimated error of the level"},
                ),
                **{axis: ("receiver", self.receivers[:, i]) for i, axis in enumerate("xyz")},
                **{
                    f"piston_{axis}": ("piston", [piston.centre[i] for piston in pistons])
                    for i, axis in enumerate("xyz")
                },
            },
            name="field",
            attrs={"units": "Pa s m-3", "long_name": "pressure per volume velocity"},
        )


def plan_field(
    body: Shape,
    receivers: np.ndarray,
    frequency: np.ndarray,
    air: Air | None,
    accuracy: float,
    memory: float,
    columns: int,
    threads: int | None = None,
) -> Plan:
    """Check what is asked and split it into blocks.

    Args:
        body: as in `solve_field`.
        receivers: likewise.
        frequency: likewise.
        air: likewise.
        accuracy: likewise.
        memory: likewise.
        columns: what is solved side by side for each frequency, sources or receivers.
        threads: as in `solve_field`.

    Raises:
        ValueError: arrays of the wrong shape, numbers that are not finite or out of range.
        RoundoverError: the body is too many wavelengths large for the memory.
    """
    air = air if air is not None else Air()
    receivers, frequency = checked_receivers(receivers), checked_frequency(frequency)
    order = np.argsort(frequency, kind="stable")
    wavenumber = 2.0 * np.pi * frequency[order] / air.speed_of_sound
    resolution = resolution_for(checked_accuracy(accuracy))
    problem = problem_at(body, (), receivers, wavenumber[-1], accuracy)
    rules, longest = resolution.for_turn(problem.shallowest), float(problem.edges.length.max())
    least = least_memory(problem.edges, 2.0 * np.pi / wavenumber[-1], rules, columns)
    blocks, problems, sizes = [], [], []
    for block in [] if least > memory else _blocks(wavenumber, longest, resolution):
        top = wavenumber[block][-1]
        posed = problem_at(body, (), receivers, top, accuracy)
        rules = resolution.for_turn(posed.shallowest)
        table, each = memory_needed(posed, top, rules, columns)
        least = max(least, table + each)
        for part in _parts(block, _how_many(memory, table, each)):
            if part.stop < block.stop:  # fewer facets may serve it
                own = problem_at(body, (), receivers, wavenumber[part][-1], accuracy)
            else:
                own = posed
            blocks.append(part)
            problems.append(own)
            nodes = solved_at(wavenumber[part], own.body, accuracy)
            sizes.append(table + each * nodes.size)
    if least > memory:
        raise RoundoverError(
            f"the field at {frequency.max():g} Hz round a body this large needs about "
            f"{least / 2**20:.0f} MiB of memory, and {memory / 2**20:.0f} MiB "
            "are allowed; allow more (memory under [solver]), lower the highest frequency or ask "
            f"for less accuracy than {accuracy:g} dB"
        )
    cores = usable_cores() if threads is None else threads
    workers = max(min(cores, int(memory / max(sizes))), 1)
    return Plan(
        body, receivers, frequency, order, air, accuracy, resolution, tuple(blocks),
        tuple(problems), tuple(sizes), workers,
    )  # fmt: skip


def problem_at(
    shape: Shape,
    pistons: Sequence[Piston],
    receivers: np.ndarray,
    wavenumber: float,
    accuracy: float,
) -> Problem:
    """State the problem up to one wavenumber (rad/m): the body's facets, the pistons on it.

    Raises:
        GeometryError: a piston off its face, a receiver inside the body or on an edge, faces that
            turn by too little at an edge.
    """
    body = shape if isinstance(shape, Body) else shape.body(2.0 * np.pi / wavenumber, accuracy)
    refuse_shallow(body)
    edges = edge_table(body)
    refuse_inside(body, edges, receivers)
    return Problem(body, edges, (), receivers).with_pistons(pistons)


def _how_many(memory: float, table: float, each: float) -> int:
    """How many frequencies a block may have for four to fit; it is the same on any machine."""
    return max(int((memory / 4 - table) / each), 1)


def _parts(block: slice, most: int) -> list[slice]:
    """Split a block so that no part has more than so many frequencies, evenly."""
    number = math.ceil((block.stop - block.start) / most)
    stops = np.linspace(block.start, block.stop, number + 1).astype(int)
    return [slice(int(a), int(b)) for a, b in pairwise(stops)]


def usable_cores() -> int:
    """Cores this process may run on."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _blocks(wavenumber: np.ndarray, longest: float, resolution: Resolution) -> list[slice]:
    """Split ascending wavenumbers into blocks that share a grid.

    Below the wavenumber up to which the least number of points is enough, all share one; above
    it, equal ratios of at most BLOCK_RATIO.
    """
    waves = (resolution.least_points - resolution.extra_points) / resolution.per_wavelength
    first = max(2.0 * np.pi * max(waves, 0.5) / longest, wavenumber[0])
    ratio = max(wavenumber[-1] / first, 1.0)
    number = math.ceil(math.log(ratio) / math.log(BLOCK_RATIO))
    tops = first * ratio ** (np.arange(number + 1) / max(number, 1)) * (1 + 1e-9)
    stops = [0, *np.searchsorted(wavenumber, tops, side="right")]
    return [slice(int(a), int(b)) for a, b in pairwise(stops) if b > a]
