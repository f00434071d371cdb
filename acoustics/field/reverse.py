"""One block of frequencies by reciprocity: receivers as sources, for any driver on a face.

The field of a source is direct sound, first order, and ℓ(I − K)⁻¹U⁰: what it first sends from the
edges, passed on, and the last leg to a receiver as a row ℓ. Solved once for y = (I − Kᵀ)⁻¹ℓᵀ, the
last is y·U⁰ for any source: a sum over the edges of its face. It is the same equation with the
same tables (a discrete adjoint), so that it gives the same numbers.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from acoustics.field import kernels
from acoustics.field.block import CHUNK, Problem, Solved, direct_and_first, what_is_near
from acoustics.field.grid import Grid, build_grid, edges_round
from acoustics.field.legs import ask_back, ask_taken_back, plan_legs
from acoustics.field.orders import all_asked, light_edges
from acoustics.field.piston import source_points
from acoustics.field.resolution import Resolution
from acoustics.field.sights import find_sights, phases_of


@dataclass(frozen=True)
class Asked:
    """What the receivers of a problem ask of the edges of one face, in one block."""

    problem: Problem
    wavenumber: np.ndarray
    resolution: Resolution
    grid: Grid
    edges: tuple[int, ...]
    """of the face"""
    shares: tuple[np.ndarray, ...]
    """per edge (node, side × direction, 2, receiver × frequency), over the node's length"""
    tail: np.ndarray
    """(1, frequency, receiver)"""

    def solve(self, problem: Problem) -> Solved:
        """The field of sources on the face, as `block.solve_block` gives it.

        Args:
            problem: the same body and receivers, and any sources on the face.
        """
        parts = [self._one(problem, number) for number in range(len(problem.sources))]
        return Solved(np.stack(parts), self.tail)

    def _one(self, problem: Problem, number: int) -> np.ndarray:
        """The field of one source, complex (frequency, receiver)."""
        source, receivers, k = problem.sources[number], problem.receivers, self.wavenumber
        near = what_is_near(problem.edges, [source], receivers)
        faces, wavelength = len(problem.body.faces), 2.0 * np.pi / float(k[-1])
        grid = build_grid(problem.edges, faces, near, wavelength, self.resolution)
        light = source_points(source, float(k[-1]), self.resolution.tolerance)
        sent = light_edges(grid, source, light, k, self.resolution)
        total = np.zeros((receivers.shape[0], 2, k.size))
        for edge, asked in zip(self.edges, self.shares, strict=True):
            here = self.at_nodes(grid, edge, asked)
            kernels.weigh(sent, grid.nodes_of_edge(edge).start, grid.node_weight, here, total)
        heard = direct_and_first(problem, grid, source, light, k, self.resolution)
        answer: np.ndarray = (heard + total[:, 0] + 1j * total[:, 1]).T
        return answer

    def part(self, edge: int, which: slice, grid: Grid) -> np.ndarray:
        """The shares of some frequencies, times the nodes' lengths, on an equal or finer grid.

        (node of the edge, side × direction, receiver × 2 × frequency).
        """
        shares = self.shares[self.edges.index(edge)]
        receivers = self.problem.receivers.shape[0]
        by_frequency = shares.reshape(*shares.shape[:3], receivers, -1)[..., which]
        own = np.ascontiguousarray(by_frequency.swapaxes(2, 3))
        here = self.at_nodes(grid, edge, own.reshape(*own.shape[:2], -1))
        weight = grid.node_weight[grid.nodes_of_edge(edge)].astype(here.dtype)
        return here * weight[:, None, None]

    def at_nodes(self, grid: Grid, edge: int, asked: np.ndarray) -> np.ndarray:
        """An edge's shares, or a part of their columns, at the nodes of an equal or finer grid."""
        own = self.grid.node_z[self.grid.nodes_of_edge(edge)]
        if np.array_equal(grid.node_z[grid.nodes_of_edge(edge)], own):
            return asked
        between = self.spread(grid, edge).astype(asked.dtype)
        flat: np.ndarray = between @ asked.reshape(asked.shape[0], -1)
        return flat.reshape(-1, *asked.shape[1:])

    def spread(self, grid: Grid, edge: int) -> np.ndarray:
        """Interpolation from this grid's nodes on an edge to those of a finer one, (node, node)."""
        own, finer = self.grid.nodes_of_edge(edge), grid.nodes_of_edge(edge)
        spread = np.zeros((finer.stop - finer.start, own.stop - own.start))
        z = grid.node_z[finer]
        for panel in np.flatnonzero(self.grid.edge == edge):
            start, length = self.grid.start[panel], self.grid.length[panel]
            here = np.flatnonzero((z > start) & (z < start + length))
            part = self.grid.interpolation(int(panel), 2.0 * (z[here] - start) / length - 1.0)
            first = int(self.grid.first[panel]) - own.start
            spread[here, first : first + part.shape[1]] = part
        return spread


def ask_block(
    problem: Problem,
    face: int,
    wavenumber: np.ndarray,
    resolution: Resolution,
    checkpoint: Callable[[], None] = lambda: None,
) -> Asked:
    """Solve the transposed equation for every receiver.

    Args:
        problem: body and receivers; its sources do not matter.
        face: index of the face on which sources are to be.
        wavenumber: (frequency,), rad/m, ascending.
        resolution: fineness of the rules, for the highest wavenumber.
        checkpoint: called between parts of the work; what it raises ends the work.
    """
    body, receivers, top = problem.body, problem.receivers, float(wavenumber[-1])
    bare = unasked(problem, face, wavenumber, resolution)
    grid, edges = bare.grid, bare.edges
    sights = find_sights(grid, top, resolution)
    legs = list(plan_legs(body, grid, sights, receivers, top, resolution))
    shares: list[list[np.ndarray]] = [[] for _ in edges]
    tails = []
    count = receivers.shape[0]
    for start in range(0, wavenumber.size, CHUNK):
        k = wavenumber[start : start + CHUNK]
        phases = [phases_of(sight, k, resolution.real) for sight in sights]
        shape = (2, grid.nodes, resolution.directions, 2, count * k.size)
        asked, back = (np.zeros(shape, dtype=resolution.real) for _ in range(2))
        for index, leg in legs:
            checkpoint()
            ask_back(leg, phases[index], k, asked)
            ask_taken_back(leg, k, back)
        asked += back
        passed = all_asked(grid, sights, phases, asked, resolution, checkpoint)
        tails.append(passed.tail.reshape(count, k.size))
        strength = (passed.strength - back) / grid.node_weight[None, :, None, None, None]
        for place, edge in enumerate(edges):
            own = strength[:, grid.nodes_of_edge(edge)].swapaxes(0, 1)
            shares[place].append(own.reshape(own.shape[0], -1, 2, count, k.size))
    joined = (np.concatenate(parts, axis=-1) for parts in shares)
    return replace(
        bare,
        shares=tuple(
            np.ascontiguousarray(part, dtype=resolution.real).reshape(*part.shape[:3], -1)
            for part in joined
        ),
        tail=np.concatenate(tails, axis=-1).T[None],
    )


def unasked(problem: Problem, face: int, wavenumber: np.ndarray, resolution: Resolution) -> Asked:
    """What `ask_block` fills, without shares: grid and edges of a face, for nearest orders alone.

    Arguments as there.
    """
    near = what_is_near(problem.edges, [], problem.receivers)
    wavelength = 2.0 * np.pi / float(wavenumber[-1])
    grid = build_grid(problem.edges, len(problem.body.faces), near, wavelength, resolution)
    edges = edges_round(problem.edges, face)
    nothing = np.zeros((1, wavenumber.size, problem.receivers.shape[0]))
    return Asked(problem, wavenumber, resolution, grid, edges, (), nothing)
