"""The front of the field solver: checks, blocks of frequencies, labels."""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Sequence
from concurrent.futures import CancelledError, ThreadPoolExecutor, as_completed
from dataclasses import replace
from itertools import pairwise
from threading import Event

import numpy as np
import xarray as xr

from acoustics.cabinet import Body, Piston
from acoustics.conventions import Air, GeometryError, RoundoverError
from acoustics.field.blas import one_blas_thread
from acoustics.field.block import Problem, memory_needed, solve_block
from acoustics.field.grid import edge_table, feet_on_edge
from acoustics.field.piston import place_source
from acoustics.field.resolution import Resolution, resolution_for

BLOCK_RATIO = 2.0 ** (2.0 / 3.0)
"""Highest over lowest frequency of a block that has a grid of its own."""

ESTIMATE_RECEIVERS = 48
"""At so many receivers, evenly taken, the solution is held against a coarser one."""

MOST_MEMORY = 2.0 * 2**30
"""bytes that the tables of one block may take"""

NULL_DEPTH = 20.0
"""dB below a pattern's maximum beyond which a level error is not counted."""

LEAST_EDGE_DISTANCE = 1e-4
"""m: nearer to an edge than this the pressure itself varies without bound in direction."""


def solve_field(
    body: Body,
    pistons: Sequence[Piston],
    receivers: np.ndarray,
    frequency: np.ndarray,
    *,
    air: Air | None = None,
    accuracy: float = 0.1,
    progress: Callable[[int, int], None] | None = None,
) -> xr.DataArray:
    """Sound pressure per volume velocity of each piston on a rigid convex body in free space.

    Direct sound of the flat piston plus edge diffraction of all orders (Svensson, Fred &
    Vanderkooy, J. Acoust. Soc. Am. 106, 1999, 2331; Asheim & Svensson, J. Acoust. Soc. Am. 133,
    2013, 3681). Time dependence exp(+jωt).

    Args:
        body: a convex body.
        pistons: flat circular pistons on its faces.
        receivers: points outside the body or on its faces, (receiver, 3), m.
        frequency: (frequency,), Hz, positive, in any order.
        air: speed of sound and density; 343 m/s and 1.2 kg/m³ if left out.
        accuracy: error aimed at, dB, where the level lies within 20 dB of the pattern's maximum.
        progress: called from time to time with (frequencies done, all frequencies).

    Returns:
        complex (piston, frequency, receiver), Pa per m³/s, with the coordinates `frequency` (Hz),
        `x`, `y`, `z` of the receivers (m) and `error_estimate` (frequency), dB: the largest
        difference from a coarser solution at the top of each block of frequencies.

    Raises:
        GeometryError: a piston off its face, a receiver inside the body or on an edge.
        RoundoverError: the body is too many wavelengths large for the memory.
        ValueError: arrays of the wrong shape, numbers that are not finite or not positive.

    Example:
        >>> body = Body.box(width=0.22, height=0.38, depth=0.30)
        >>> tweeter = Piston(radius=0.0127, centre=(0.0, 0.10, 0.0))
        >>> field = solve_field(body, [tweeter], np.array([[0.0, 0.1, 2.0]]), np.array([1000.0]))
        >>> field.dims
        ('piston', 'frequency', 'receiver')
    """
    air = air if air is not None else Air()
    receivers, frequency = _checked(body, pistons, receivers, frequency, accuracy)
    order = np.argsort(frequency, kind="stable")
    wavenumber = 2.0 * np.pi * frequency[order] / air.speed_of_sound
    problem = Problem(
        body=body,
        edges=edge_table(body),
        sources=tuple(place_source(body, piston) for piston in pistons),
        receivers=receivers,
    )
    resolution = resolution_for(accuracy)
    needed = memory_needed(problem.edges, 2.0 * np.pi / wavenumber[-1], resolution)
    if needed > MOST_MEMORY:
        raise RoundoverError(
            f"the field at {frequency.max():g} Hz round a body this large needs about "
            f"{needed / 2**30:.0f} GiB of memory; lower the highest frequency or ask for less "
            f"accuracy than {accuracy:g} dB"
        )
    blocks = _blocks(wavenumber, float(problem.edges.length.max()), resolution)
    pressure = np.empty((len(pistons), frequency.size, receivers.shape[0]), dtype=complex)
    error = np.empty(frequency.size)

    sample = np.unique(np.linspace(0, receivers.shape[0] - 1, ESTIMATE_RECEIVERS).astype(int))
    sampled = replace(problem, receivers=receivers[sample])

    stopped = Event()

    def checkpoint() -> None:
        if stopped.is_set():
            raise CancelledError

    def run(block: slice) -> tuple[np.ndarray, float]:
        solved = solve_block(problem, wavenumber[block], resolution, checkpoint)
        # The lowest block errs most where sound dies out slowest, so it is asked at both ends.
        ends = [0, -1] if block.start == 0 else [-1]
        coarse = solve_block(sampled, wavenumber[block][ends], resolution.coarser(), checkpoint)
        return solved, level_difference(sampled, solved[:, ends][..., sample], coarse)

    done = 0
    with one_blas_thread(), ThreadPoolExecutor(max_workers=usable_cores()) as pool:
        # The highest block costs the most, so it starts first.
        tasks = {pool.submit(run, block): block for block in reversed(blocks)}
        try:
            for task in as_completed(tasks):
                block = tasks[task]
                pressure[:, block], error[block] = task.result()
                done += block.stop - block.start
                if progress is not None:
                    progress(done, frequency.size)
        except BaseException:  # an interruption too: blocks at work end at their next checkpoint
            stopped.set()
            pool.shutdown(cancel_futures=True)
            raise

    back = np.argsort(order, kind="stable")
    omega = wavenumber * air.speed_of_sound
    pressure *= (1j * omega * air.density / (4.0 * np.pi))[None, :, None]
    return xr.DataArray(
        pressure[:, back],
        dims=("piston", "frequency", "receiver"),
        coords={
            "frequency": frequency,
            "error_estimate": ("frequency", error[back]),
            **{axis: ("receiver", receivers[:, i]) for i, axis in enumerate("xyz")},
        },
        name="field",
        attrs={"units": "Pa s m-3", "long_name": "pressure per volume velocity"},
    )


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


def level_difference(problem: Problem, fine: np.ndarray, coarse: np.ndarray) -> float:
    """Largest difference in dB where the level is not in a null.

    Levels are compared at equal distance: a near receiver must not make nulls of the far ones.

    Args:
        problem: the sources and receivers.
        fine: complex (source, frequency, receiver), what is judged.
        coarse: likewise, what it is held against.
    """
    centres = np.array([source.centre for source in problem.sources])
    distance = np.linalg.norm(problem.receivers[None] - centres[:, None], axis=-1)[:, None]
    size = np.abs(fine) * distance
    counts = size > size.max(axis=-1, keepdims=True) * 10.0 ** (-NULL_DEPTH / 20.0)
    relative = np.abs(coarse - fine)[counts] / np.abs(fine)[counts]
    return float(20.0 / math.log(10.0) * relative.max())


def _checked(
    body: Body,
    pistons: Sequence[Piston],
    receivers: np.ndarray,
    frequency: np.ndarray,
    accuracy: float,
) -> tuple[np.ndarray, np.ndarray]:
    """Refuse what cannot be solved; return receivers and frequency as float arrays."""
    receivers = np.array(receivers, dtype=float)
    frequency = np.array(frequency, dtype=float)
    if len(pistons) == 0:
        raise ValueError("solve_field: give at least one piston")
    if receivers.ndim != 2 or receivers.shape[1] != 3 or receivers.shape[0] == 0:
        raise ValueError(
            f"solve_field: receivers must be at least one point, shape (n, 3), "
            f"not {receivers.shape}"
        )
    if frequency.ndim != 1 or frequency.size == 0:
        raise ValueError(f"solve_field: frequency must be (m,), not {frequency.shape}")
    if not np.isfinite(receivers).all():
        raise ValueError("solve_field: receivers must be finite")
    if not (np.isfinite(frequency).all() and (frequency > 0).all()):
        raise ValueError("solve_field: frequencies must be positive and finite, in Hz")
    if not (math.isfinite(accuracy) and accuracy > 0):
        raise ValueError(f"solve_field: accuracy must be a positive number of dB, not {accuracy}")
    inside = np.flatnonzero(body.heights_above_faces(receivers).max(axis=1) < 0.0)
    if inside.size:
        raise GeometryError(
            f"receiver {inside[0]} at {_place(receivers[inside[0]])} is inside the body; "
            "move it outside"
        )
    edges = edge_table(body)
    for edge in range(edges.length.size):
        foot, rho = feet_on_edge(edges, edge, receivers)
        beyond = np.maximum(np.maximum(-foot, foot - edges.length[edge]), 0.0)
        on = np.flatnonzero(np.hypot(rho, beyond) < LEAST_EDGE_DISTANCE)
        if on.size:
            raise GeometryError(
                f"receiver {on[0]} at {_place(receivers[on[0]])} lies on an edge of the body; "
                f"move it at least {LEAST_EDGE_DISTANCE * 1e3:g} mm away"
            )
    return receivers, frequency


def _place(point: np.ndarray) -> str:
    return "(" + ", ".join(f"{x:g}" for x in point) + ") m"
