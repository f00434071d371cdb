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

from acoustics.cabinet import Body, Piston, RoundedBody, refuse_shallow
from acoustics.cabinet.corner_list import point_text
from acoustics.conventions import Air, GeometryError, RoundoverError
from acoustics.field.blas import one_blas_thread
from acoustics.field.block import Problem, memory_needed, solve_block
from acoustics.field.estimate import error_shares, estimated_levels
from acoustics.field.grid import EdgeTable, edge_table, feet_on_edge
from acoustics.field.piston import place_source
from acoustics.field.resolution import TIERS, Resolution, resolution_for

BLOCK_RATIO = 2.0 ** (2.0 / 3.0)
"""Highest over lowest frequency of a block that has a grid of its own."""

MOST_MEMORY = 2.0 * 2**30
"""bytes that the tables of one block may take"""

LEAST_EDGE_DISTANCE = 1e-4
"""m: nearer to an edge than this the pressure itself varies without bound in direction."""

FARTHEST = 1e6
"""m: beyond it distances lose the digits that phases need."""

LEAST_APART = 1e-6
"""m: centres nearer than this are one and the same."""


Shape = Body | RoundedBody
"""What can be solved: a polyhedron, or one with rounds, whose facets depend on the wavelength."""


def solve_field(
    body: Shape,
    pistons: Sequence[Piston],
    receivers: np.ndarray,
    frequency: np.ndarray,
    *,
    air: Air | None = None,
    accuracy: float = 0.1,
    progress: Callable[[int, int], None] | None = None,
) -> xr.DataArray:
    """Sound pressure per volume velocity of each piston on a rigid convex body in free space.

    Direct sound of the piston plus edge diffraction of all orders (Svensson, Fred &
    Vanderkooy, J. Acoust. Soc. Am. 106, 1999, 2331; Asheim & Svensson, J. Acoust. Soc. Am. 133,
    2013, 3681). Time dependence exp(+jωt).

    Args:
        body: a convex body; rounded edges become as many facets as each wavelength needs.
        pistons: circular pistons on its faces.
        receivers: points outside the body or on its faces, (receiver, 3), m.
        frequency: (frequency,), Hz, positive, in any order.
        air: speed of sound and density; 343 m/s and 1.2 kg/m³ if left out.
        accuracy: error aimed at, dB, where the level lies within 20 dB of the pattern's maximum.
        progress: called from time to time with (frequencies done, all frequencies).

    Returns:
        complex (piston, frequency, receiver), Pa per m³/s, with the coordinates `frequency` (Hz),
        `x`, `y`, `z` of the receivers and `piston_x`, … of the pistons (m), and `error_estimate`
        (piston, frequency, receiver), dB: see `estimate`.

    Raises:
        GeometryError: a piston off its face, two that coincide, a receiver inside the body or on
            an edge, faces that turn by too little at an edge.
        RoundoverError: the body is too many wavelengths large for the memory, or a value came out
            as no number.
        ValueError: arrays of the wrong shape, numbers that are not finite or not positive.

    Example:
        >>> body = Body.box(width=0.22, height=0.38, depth=0.30)
        >>> tweeter = Piston(radius=0.0127, centre=(0.0, 0.10, 0.0))
        >>> field = solve_field(body, [tweeter], np.array([[0.0, 0.1, 2.0]]), np.array([1000.0]))
        >>> field.dims
        ('piston', 'frequency', 'receiver')
    """
    air = air if air is not None else Air()
    receivers, frequency = _checked(pistons, receivers, frequency, accuracy)
    order = np.argsort(frequency, kind="stable")
    wavenumber = 2.0 * np.pi * frequency[order] / air.speed_of_sound
    problem = problem_at(body, pistons, receivers, wavenumber[-1], accuracy)
    resolution = resolution_for(accuracy)
    needed = memory_needed(
        problem.edges, 2.0 * np.pi / wavenumber[-1], resolution.for_turn(problem.shallowest)
    )
    if needed > MOST_MEMORY:
        raise RoundoverError(
            f"the field at {frequency.max():g} Hz round a body this large needs about "
            f"{needed / 2**30:.0f} GiB of memory; lower the highest frequency or ask for less "
            f"accuracy than {accuracy:g} dB"
        )
    blocks = _blocks(wavenumber, float(problem.edges.length.max()), resolution)
    pressure = np.empty((len(pistons), frequency.size, receivers.shape[0]), dtype=complex)
    error = np.empty(pressure.shape)

    stopped = Event()

    def checkpoint() -> None:
        if stopped.is_set():
            raise CancelledError

    def run(block: slice) -> tuple[np.ndarray, np.ndarray]:
        problem = problem_at(body, pistons, receivers, wavenumber[block][-1], accuracy)
        rules = resolution.for_turn(problem.shallowest)
        solved = solve_block(problem, wavenumber[block], rules, checkpoint)
        # The lowest block errs most where sound dies out slowest, so it is asked at both ends.
        ends = [0, -1] if block.start == 0 else [-1]
        coarse = solve_block(problem, wavenumber[block][ends], rules.coarser(), checkpoint)
        shares = error_shares(problem, solved.pressure[:, ends], coarse.pressure)
        estimate = estimated_levels(problem, solved, shares)
        if isinstance(body, RoundedBody):
            facets = body.facets(2.0 * np.pi / wavenumber[block][-1], accuracy)
            estimate += body.error(2.0 * np.pi / wavenumber[block], facets)[None, :, None]
        return solved.pressure, estimate

    done = 0
    with one_blas_thread(), ThreadPoolExecutor(max_workers=usable_cores()) as pool:
        # The highest block costs the most, so it starts first.
        tasks = {pool.submit(run, block): block for block in reversed(blocks)}
        try:
            for task in as_completed(tasks):
                block = tasks[task]
                pressure[:, block], error[:, block] = task.result()
                done += block.stop - block.start
                if progress is not None:
                    progress(done, frequency.size)
        except BaseException:  # an interruption too: blocks at work end at their next checkpoint
            stopped.set()
            pool.shutdown(cancel_futures=True)
            raise

    if not np.isfinite(pressure).all():
        bad = float(wavenumber[~np.isfinite(pressure).all(axis=(0, 2))][0])
        raise RoundoverError(
            f"the field at {bad * air.speed_of_sound / (2.0 * np.pi):g} Hz came out as no number; "
            "this is a fault of the solver: another accuracy, or a driver moved by a millimetre, "
            "may get round it"
        )
    back = np.argsort(order, kind="stable")
    omega = wavenumber * air.speed_of_sound
    pressure *= (1j * omega * air.density / (4.0 * np.pi))[None, :, None]
    return xr.DataArray(
        pressure[:, back],
        dims=("piston", "frequency", "receiver"),
        coords={
            "frequency": frequency,
            "error_estimate": (
                ("piston", "frequency", "receiver"),
                error[:, back],
                {"units": "dB", "long_name": "estimated error of the level"},
            ),
            **{axis: ("receiver", receivers[:, i]) for i, axis in enumerate("xyz")},
            **{
                f"piston_{axis}": ("piston", [piston.centre[i] for piston in pistons])
                for i, axis in enumerate("xyz")
            },
        },
        name="field",
        attrs={"units": "Pa s m-3", "long_name": "pressure per volume velocity"},
    )


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
    _refuse_inside(body, edges, receivers)
    return Problem(
        body=body,
        edges=edges,
        sources=tuple(place_source(body, piston) for piston in pistons),
        receivers=receivers,
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


def _checked(
    pistons: Sequence[Piston],
    receivers: np.ndarray,
    frequency: np.ndarray,
    accuracy: float,
) -> tuple[np.ndarray, np.ndarray]:
    """Refuse what cannot be solved; return receivers and frequency as float arrays."""
    receivers = np.array(receivers, dtype=float)
    if len(pistons) == 0:
        raise ValueError("solve_field: give at least one piston")
    _refuse_coincident(pistons)
    if receivers.ndim != 2 or receivers.shape[1] != 3 or receivers.shape[0] == 0:
        raise ValueError(
            f"solve_field: receivers must be at least one point, shape (n, 3), "
            f"not {receivers.shape}"
        )
    if not (np.abs(receivers) <= FARTHEST).all():
        raise ValueError(f"solve_field: receivers must be finite, within {FARTHEST:g} m")
    if not accuracy >= min(TIERS) * (1 - 1e-9):
        raise ValueError(
            f"solve_field: accuracy must be {min(TIERS):g} dB or more, not {float(accuracy):g}"
        )
    return receivers, checked_frequency(frequency)


def checked_frequency(frequency: np.ndarray) -> np.ndarray:
    """A float copy of frequencies in Hz, shape (frequency,).

    Raises:
        ValueError: no frequency, another shape, or one that is not positive and finite.
    """
    frequency = np.array(frequency, dtype=float)
    if frequency.ndim != 1 or frequency.size == 0:
        raise ValueError(f"frequency must be at least one, shape (m,), not {frequency.shape}")
    if not (np.isfinite(frequency).all() and (frequency > 0).all()):
        raise ValueError("frequencies must be positive and finite, in Hz")
    return frequency


def _refuse_inside(body: Body, edges: EdgeTable, receivers: np.ndarray) -> None:
    """Refuse receivers inside the body or on an edge."""
    inside = np.flatnonzero(body.heights_above_faces(receivers).max(axis=1) < 0.0)
    if inside.size:
        raise GeometryError(
            f"receiver {inside[0]} at {point_text(receivers[inside[0]])} is inside the body; "
            "move it outside"
        )
    for edge in range(edges.length.size):
        foot, rho = feet_on_edge(edges, edge, receivers)
        beyond = np.maximum(np.maximum(-foot, foot - edges.length[edge]), 0.0)
        on = np.flatnonzero(np.hypot(rho, beyond) < LEAST_EDGE_DISTANCE)
        if on.size:
            raise GeometryError(
                f"receiver {on[0]} at {point_text(receivers[on[0]])} lies on an edge of the body; "
                f"move it at least {LEAST_EDGE_DISTANCE * 1e3:g} mm away"
            )


def _refuse_coincident(pistons: Sequence[Piston]) -> None:
    """Refuse one and the same piston twice. Alternatives for one place may overlap."""
    for index, one in enumerate(pistons):
        for other in pistons[:index]:
            apart = float(np.linalg.norm(np.subtract(one.centre, other.centre)))
            if apart < LEAST_APART and replace(one, centre=other.centre) == other:
                raise GeometryError(
                    f"two pistons coincide at {point_text(np.array(one.centre))}; move one of "
                    "them, or leave it out and give the other the volume velocity of both"
                )
