"""One face of a body and those who listen to it: bare at first, asked in the background."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from acoustics.cabinet import Piston
from acoustics.case.design.model import Case
from acoustics.field.at_once import Lean, Listening, Orders, lean, orders_of, without_shares
from acoustics.field.between import between_nodes
from acoustics.field.block import Problem
from acoustics.field.piston import Source, place_source
from acoustics.field.plan import Plan, Shape, plan_field
from acoustics.field.resolution import Resolution
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

    def blocks_of(self, wanted: np.ndarray) -> frozenset[int]:
        """Numbers of the blocks that hold some of the wanted frequencies, a mask."""
        return frozenset(n for n, block in enumerate(self.plan.blocks) if wanted[block].any())

    def within(self, blocks: Collection[int]) -> np.ndarray:
        """Which frequencies lie in some of the blocks, a mask."""
        mask = np.zeros(self.plan.frequency.size, dtype=bool)
        for number in blocks:
            mask[self.plan.blocks[number]] = True
        return mask

    def joined(
        self, parts: Mapping[int, Orders], centre: Sequence[float], heard: Listening
    ) -> tuple[np.ndarray, np.ndarray]:
        """Nearest and higher orders, Pa per m³/s, each (receiver, frequency); 0 in other blocks.

        Of a block with fewer receivers they are the last ones; the others are 0 there.
        """
        plan = self.plan
        shape = len(heard.receivers), plan.frequency.size
        nearest, higher = np.zeros(shape, complex), np.zeros(shape, complex)
        away = np.linalg.norm(heard.receivers - np.asarray(centre), axis=1)
        asked_away = np.linalg.norm(plan.receivers - np.asarray(centre), axis=1)
        for number, part in parts.items():
            nodes = self.blocks[number].asked.wavenumber
            waves, which = plan.waves(number), plan.blocks[number]
            last = slice(len(heard.receivers) - len(part.first), None)
            if nodes.size == waves.size:
                nearest[last, which], higher[last, which] = part
            else:
                nearest[last, which] = between_nodes(part.first, nodes, waves, away[last])
                higher[last, which] = between_nodes(part.higher, nodes, waves, asked_away[last])
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
        asked = unasked(problem, face, plan.solved_at(number), _rules(plan, problem))
        blocks.append(without_shares(asked, face))
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
        return lean(
            ask_block(problem, bare.face, nodes, _rules(plan, problem), checkpoint), bare.face
        )

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


def _rules(plan: Plan, problem: Problem) -> Resolution:
    """Those by which errors are judged: a third less to do, and exact curves follow a hand."""
    return plan.rules(problem).coarser()


class Job(NamedTuple):
    """What is to be heard of a piston on its face.

    heard: receivers of nearest orders. higher: whether the higher ones are wanted too; of a face
    that is not asked they are nothing. blocks: numbers of those that are wanted; in those of them
    that are `cut` the first `spared` receivers are left out.
    """

    face: Face
    piston: Piston
    heard: Listening
    higher: bool
    blocks: frozenset[int]
    cut: frozenset[int] = frozenset()
    spared: int = 0

    @property
    def all_orders(self) -> bool:
        """Whether the higher ones are told."""
        return self.higher and self.face.asked

    def first(self, block: int) -> int:
        """The first receiver that is heard in a block."""
        return self.spared if block in self.cut else 0

    def alike(self, other: Job) -> bool:
        """Whether both want the same of the same piston, for whatever receivers."""
        return (self.piston, self.all_orders, self.face.face) == (
            other.piston,
            other.all_orders,
            other.face.face,
        )


def hear(jobs: Sequence[Job]) -> list[tuple[np.ndarray, np.ndarray]]:
    """The fields of some pistons.

    Returns:
        Of each its nearest and its higher orders, Pa per m³/s, (receiver, frequency); 0 in blocks
        that are not wanted.
    """
    found: list[dict[int, Orders]] = [{} for _ in jobs]
    placed: dict[int, list[Source]] = {}
    for numbers, block, asked in _together(jobs):
        one = jobs[numbers[0]]
        if numbers[0] not in placed:
            placed[numbers[0]] = one.face.sources(one.piston)
        heard = [jobs[n].heard.after(jobs[n].first(block)) for n in numbers]
        source = placed[numbers[0]][block]
        nearest, higher = orders_of(asked, source, heard[0].beside(heard[1:]), one.all_orders)
        for number, own in zip(numbers, heard, strict=True):
            near = len(own.receivers)
            far = len(jobs[number].face.plan.receivers) - jobs[number].first(block)
            found[number][block] = Orders(nearest[:near], higher[:far])
            nearest, higher = nearest[near:], higher[far:]
    return [
        job.face.joined(parts, job.piston.centre, job.heard)
        for job, parts in zip(jobs, found, strict=True)
    ]


def _together(jobs: Sequence[Job]) -> list[tuple[list[int], int, Lean]]:
    """Numbers of the jobs that one pass over the edges serves, the block, and what they ask."""
    passes: list[tuple[list[int], int, Lean]] = []
    for number, job in enumerate(jobs):
        for block in sorted(job.blocks):
            own = job.face.blocks[block].after(job.first(block))
            for place, (numbers, other, asked) in enumerate(passes):
                if other == block and jobs[numbers[0]].alike(job):
                    both = asked.beside(own)
                    if both is not None:
                        passes[place] = [*numbers, number], block, both
                        break
            else:
                passes.append(([number], block, own))
    return passes
