"""One face of a body and those who listen to it: bare at first, asked in the background."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace

import numpy as np

from acoustics.cabinet import Piston
from acoustics.case.model import Case
from acoustics.field.at_once import Lean, Listening, Orders, lean, orders_of
from acoustics.field.between import between_nodes
from acoustics.field.piston import Source, place_source
from acoustics.field.plan import Plan, Shape, plan_field
from acoustics.field.reverse import ask_block, unasked


@dataclass(frozen=True)
class Face:
    """A face as receivers hear it: by nearest orders alone, or, once `asked`, by all of them."""

    plan: Plan
    face: int
    blocks: tuple[Lean, ...]
    asked: bool = False

    @property
    def heaviest_first(self) -> list[int]:
        """Numbers of the blocks, those with most work first."""
        return list(range(len(self.blocks)))[::-1]

    def sources(self, piston: Piston) -> list[Source]:
        """The piston on the body of every block.

        Raises:
            GeometryError: it leaves the face.
        """
        placed: dict[int, Source] = {}
        for block in self.blocks:
            body = block.asked.problem.body
            if id(body) not in placed:
                placed[id(body)] = place_source(body, replace(piston, face=self.face))
        return [placed[id(block.asked.problem.body)] for block in self.blocks]

    def joined(
        self, parts: Sequence[Orders], centre: Sequence[float], heard: Listening
    ) -> tuple[np.ndarray, np.ndarray]:
        """Nearest and higher orders of all blocks, Pa per m³/s, each (receiver, frequency)."""
        plan = self.plan
        shape = len(heard.receivers), plan.frequency.size
        nearest, higher = np.empty(shape, complex), np.empty(shape, complex)
        away = np.linalg.norm(heard.receivers - np.asarray(centre), axis=1)
        asked_away = np.linalg.norm(plan.receivers - np.asarray(centre), axis=1)
        for number, (block, part) in enumerate(zip(self.blocks, parts, strict=True)):
            nodes, waves, which = block.asked.wavenumber, plan.waves(number), plan.blocks[number]
            if nodes.size == waves.size:
                nearest[:, which], higher[:, which] = part
            else:
                nearest[:, which] = between_nodes(part.first, nodes, waves, away)
                higher[:, which] = between_nodes(part.higher, nodes, waves, asked_away)
        scale = 0.5j * plan.frequency * plan.air.density
        return nearest * scale, higher * scale


def bare_face(case: Case, body: Shape, face: int, points: np.ndarray) -> Face:
    """Prepare a face for nearest orders alone, which takes no solving.

    Args:
        case: for air, frequencies and the solver's settings.
        body: that radiates.
        face: its index.
        points: receivers, (point, 3), m.
    """
    frequency = case.frequencies.values()
    plan = plan_field(body, points, frequency, case.air, case.accuracy, case.memory, len(points))
    blocks = []
    for number, problem in enumerate(plan.posed):
        asked = unasked(problem, face, plan.solved_at(number), plan.rules(problem))
        blocks.append(Lean(asked, np.empty((0, 0, 0), dtype=np.complex64)))
    return Face(plan, face, tuple(blocks))


def ask_face(
    bare: Face, checkpoint: Callable[[], None], told: Callable[[float], None], pool: Executor
) -> Face:
    """Let the receivers of a face act as sources, which takes seconds.

    Args:
        bare: the face.
        checkpoint: called between parts of the work, from any thread; what it raises ends it.
        told: called with the share done.
        pool: of threads that do it.
    """
    plan = bare.plan

    def ask(number: int) -> Lean:
        problem, nodes = plan.posed[number], plan.solved_at(number)
        return lean(ask_block(problem, bare.face, nodes, plan.rules(problem), checkpoint))

    found: dict[int, Lean] = {}
    work = {n: plan.sizes[n] for n in bare.heaviest_first}
    futures = {n: pool.submit(ask, n) for n in bare.heaviest_first}
    try:
        for number, future in futures.items():
            found[number] = future.result()
            told(sum(work[n] for n in found) / sum(work.values()))
    except BaseException:
        for future in futures.values():
            future.cancel()
        raise
    return replace(bare, blocks=tuple(found[n] for n in range(len(found))), asked=True)


def hear(
    jobs: Sequence[tuple[Face, Piston, Listening, bool]], pool: Executor
) -> list[tuple[np.ndarray, np.ndarray]]:
    """The fields of some pistons, each on its face, their blocks side by side.

    Args:
        jobs: face, piston on it, receivers of nearest orders, and whether the higher ones are
            wanted too (of a face that is not asked they are nothing).
        pool: of threads.

    Returns:
        Of each its nearest and its higher orders, Pa per m³/s, (receiver, frequency).
    """
    tasks = []
    for face, piston, heard, higher in jobs:
        placed, wanted = face.sources(piston), higher and face.asked
        tasks.append(
            {
                n: pool.submit(orders_of, face.blocks[n], placed[n], heard, wanted)
                for n in face.heaviest_first
            }
        )
    found = []
    for (face, piston, heard, _), own in zip(jobs, tasks, strict=True):
        parts = [own[n].result() for n in range(len(own))]
        found.append(face.joined(parts, piston.centre, heard))
    return found
