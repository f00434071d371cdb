"""The field of any driver on a face by reciprocity: receivers act as sources, solved once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import xarray as xr

from acoustics.cabinet import Piston
from acoustics.conventions import Air, GeometryError
from acoustics.field.between import filled_in
from acoustics.field.block import Problem, Solved
from acoustics.field.plan import MEMORY, Plan, Progress, Shape, plan_field
from acoustics.field.reverse import Asked, ask_block
from acoustics.field.workers import Checkpoint


@dataclass(frozen=True)
class FaceField:
    """What receivers hear of one face of a body: `field` gives it for any pistons on it."""

    plan: Plan
    face: int
    asked: tuple[Asked, ...]
    """of every block"""
    rough: tuple[Asked, ...]
    """likewise, by coarser rules where the error is estimated"""

    def field(self, pistons: Sequence[Piston]) -> xr.DataArray:
        """As `solve_field` gives it for the same body, receivers and frequencies.

        The same numbers within the accuracy, at a fraction of the work: moving a driver costs its
        direct sound, its first order and one sum over the edges of its face.

        Args:
            pistons: circular pistons on the face.

        Raises:
            GeometryError: a piston that is not on the face.
            ValueError: no piston.
        """
        if len(pistons) == 0:
            raise ValueError("FaceField.field: give at least one piston")
        plan = self.plan
        posed = [self._posed(number, pistons) for number in range(len(plan.blocks))]

        def fine(number: int, _: Checkpoint) -> Solved:
            asked, problem = self.asked[number], posed[number]
            return filled_in(problem, asked.wavenumber, asked.solve(problem), plan.waves(number))

        def coarse(number: int, _: Checkpoint) -> np.ndarray:
            return self.rough[number].solve(posed[number]).pressure

        return plan.answer(pistons, posed, fine, coarse)

    def _posed(self, number: int, pistons: Sequence[Piston]) -> Problem:
        problem = self.asked[number].problem.with_pistons(pistons)
        for piston, source in zip(pistons, problem.sources, strict=True):
            if source.face != self.face:
                raise GeometryError(
                    f"the piston at {tuple(piston.centre)} m is on face {source.face} of the body, "
                    f"not on face {self.face}, for which the field was asked"
                )
        return problem


def face_field(
    body: Shape,
    face: int,
    receivers: np.ndarray,
    frequency: np.ndarray,
    *,
    air: Air | None = None,
    accuracy: float = 0.1,
    memory: float = MEMORY,
    progress: Progress | None = None,
) -> FaceField:
    """Solve for all drivers that may be on a face at once, by reciprocity: receivers as sources.

    The transposed equation is solved once for every receiver; it costs about as much as
    `solve_field` with as many pistons as there are receivers. Worth it for few receivers and many
    places of a driver.

    Args:
        body: as in `solve_field`.
        face: index of a face of the body, or of the body before its edges are rounded.
        receivers: as in `solve_field`; few.
        frequency: likewise.
        air: likewise.
        accuracy: likewise.
        memory: likewise.
        progress: likewise.

    Returns:
        The field over the face, to be asked for pistons.

    Raises:
        What `solve_field` raises, and GeometryError for a face that is not there.

    Example:
        >>> import acoustics as ac
        >>> body = ac.Body.box(width=0.22, height=0.38, depth=0.30)
        >>> heard = ac.face_field(body, 0, np.array([[0.0, 0.1, 2.0]]), np.array([1000.0]))
        >>> places = [ac.Piston(0.0127, (x, 0.1, 0.0)) for x in (-0.03, 0.0, 0.03)]
        >>> heard.field(places).sizes["piston"]
        3
    """
    plan = plan_field(body, receivers, frequency, air, accuracy, memory, len(receivers))
    posed = plan.posed
    if not 0 <= face < len(posed[0].body.faces):
        raise GeometryError(f"the body has no face {face}; it has {len(posed[0].body.faces)}")

    def fine(number: int, checkpoint: Checkpoint) -> Asked:
        problem = posed[number]
        nodes = plan.solved_at(number)
        return ask_block(problem, face, nodes, plan.rules(problem), checkpoint)

    def rough(number: int, checkpoint: Checkpoint) -> Asked:
        problem = posed[number]
        ends = plan.waves(number)[plan.judged_at(number)]
        return ask_block(problem, face, ends, plan.rules(problem).coarser(), checkpoint)

    found = {number: (whole, ends) for number, whole, ends in plan.both(fine, rough, progress)}
    pairs = [found[number] for number in range(len(plan.blocks))]
    return FaceField(
        plan, face, tuple(whole for whole, _ in pairs), tuple(ends for _, ends in pairs)
    )
