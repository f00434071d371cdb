"""The entry of the field solver: the field of pistons at receivers, labelled."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import xarray as xr

from acoustics.cabinet import Piston
from acoustics.conventions import Air
from acoustics.field.between import filled_in
from acoustics.field.block import Solved, solve_block
from acoustics.field.checks import refuse_coincident
from acoustics.field.plan import MEMORY, Progress, Shape, plan_field
from acoustics.field.workers import Checkpoint


def solve_field(
    body: Shape,
    pistons: Sequence[Piston],
    receivers: np.ndarray,
    frequency: np.ndarray,
    *,
    air: Air | None = None,
    accuracy: float = 0.1,
    memory: float = MEMORY,
    threads: int | None = None,
    progress: Progress | None = None,
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
        memory: bytes that the tables of all blocks at work may take; what is asked of one block at
            a time, and of how many frequencies it has, follows from it.
        threads: how many cores to use at most, all if left out; the numbers do not depend on it.
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
        >>> import acoustics as ac
        >>> body = ac.Body.box(width=0.22, height=0.38, depth=0.30)
        >>> tweeter = ac.Piston(radius=0.0127, centre=(0.0, 0.10, 0.0))
        >>> field = ac.solve_field(body, [tweeter], [[0.0, 0.1, 2.0]], [1000.0])
        >>> field.dims
        ('piston', 'frequency', 'receiver')
    """
    if len(pistons) == 0:
        raise ValueError("solve_field: give at least one piston")
    refuse_coincident(pistons)
    plan = plan_field(body, receivers, frequency, air, accuracy, memory, len(pistons), threads)
    posed = [plan.problem(number, pistons) for number in range(len(plan.blocks))]

    def fine(number: int, checkpoint: Checkpoint) -> Solved:
        problem = posed[number]
        nodes = plan.solved_at(number)
        solved = solve_block(problem, nodes, plan.rules(problem), checkpoint)
        return filled_in(problem, nodes, solved, plan.waves(number))

    def rough(number: int, checkpoint: Checkpoint) -> np.ndarray:
        problem = posed[number]
        ends = plan.waves(number)[plan.judged_at(number)]
        return solve_block(problem, ends, plan.rules(problem).coarser(), checkpoint).pressure

    return plan.answer(pistons, posed, fine, rough, progress)
