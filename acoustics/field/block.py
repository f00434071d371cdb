"""One block of frequencies on one grid: direct sound, first order, all orders."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from acoustics.cabinet import Body, Piston, on_face
from acoustics.field.first_order import radiate_first_order
from acoustics.field.grid import EdgeTable, Grid, build_grid, edges_round, feet_on_edge
from acoustics.field.legs import plan_legs, radiate_edges
from acoustics.field.orders import all_orders, light_edges
from acoustics.field.piston import (
    Light,
    Source,
    direct_sound,
    place_source,
    rim_points,
    source_points,
)
from acoustics.field.resolution import Resolution
from acoustics.field.sights import find_sights, pairs_seen, phases_of

CHUNK = 20
"""Frequencies solved side by side: enough to fill the vector units, few enough for the cache."""

STATES = 6
"""arrays of what leaves the edges that are alive at once"""

GROUP = 256
"""Receivers taken together in the last leg; bounds the memory of its weights."""


@dataclass(frozen=True)
class Problem:
    """Where sound is wanted, and what radiates it; receivers (receiver, 3) in metres."""

    body: Body
    edges: EdgeTable
    sources: tuple[Source, ...]
    receivers: np.ndarray

    def with_pistons(self, pistons: Sequence[Piston]) -> Problem:
        """The same body and receivers with pistons on it; raises what `place_source` raises."""
        return replace(self, sources=tuple(place_source(self.body, piston) for piston in pistons))

    @property
    def shallowest(self) -> float:
        """The least angle by which two faces turn at an edge, rad."""
        return float(self.edges.wedge.min()) - np.pi


class Solved(NamedTuple):
    """The field of one block of frequencies."""

    pressure: np.ndarray
    """complex (source, frequency, receiver)"""
    tail: np.ndarray
    """(source, frequency, 1), or (1, frequency, receiver) in reverse: see orders.Passed"""


def solve_block(
    problem: Problem,
    wavenumber: np.ndarray,
    resolution: Resolution,
    checkpoint: Callable[[], None] = lambda: None,
) -> Solved:
    """Pressure in units where a free point source gives exp(−jkR)/R.

    Args:
        problem: body, sources and receivers.
        wavenumber: (frequency,), rad/m, ascending.
        resolution: fineness of the rules, for the highest wavenumber.
        checkpoint: called between parts of the work; what it raises ends the work.
    """
    body, receivers = problem.body, problem.receivers
    top = float(wavenumber[-1])
    grid = build_grid(
        problem.edges,
        len(body.faces),
        what_is_near(problem.edges, problem.sources, receivers),
        2.0 * np.pi / top,
        resolution,
    )
    sights = find_sights(grid, top, resolution)
    lights = [source_points(source, top, resolution.tolerance) for source in problem.sources]
    chunks = [wavenumber[start : start + CHUNK] for start in range(0, wavenumber.size, CHUNK)]
    phases = [[phases_of(sight, k, resolution.real) for sight in sights] for k in chunks]
    begun, passed = [], []
    for k, turns in zip(chunks, phases, strict=True):
        parts = [
            light_edges(grid, source, light, k, resolution)
            for source, light in zip(problem.sources, lights, strict=True)
        ]
        first = np.concatenate(parts, axis=-1)
        begun.append(first)
        passed.append(all_orders(grid, sights, turns, first, resolution, checkpoint))
    columns = len(problem.sources)
    out = np.empty((columns, wavenumber.size, receivers.shape[0]), dtype=complex)
    for start in range(0, receivers.shape[0], GROUP):
        group = slice(start, min(start + GROUP, receivers.shape[0]))
        size = group.stop - group.start
        pressure = [np.zeros((size, 2, columns * k.size)) for k in chunks]
        for index, leg in plan_legs(body, grid, sights, receivers[group], top, resolution):
            for k, turns, first, edges, heard in zip(
                chunks, phases, begun, passed, pressure, strict=True
            ):
                checkpoint()
                radiate_edges(leg, turns[index], edges.strength, first, k, heard)
        parts = [
            (heard[:, 0] + 1j * heard[:, 1]).reshape(size, columns, k.size)
            for k, heard in zip(chunks, pressure, strict=True)
        ]
        out[:, :, group] = np.concatenate(parts, axis=-1).transpose(1, 2, 0)
    for index, (source, light) in enumerate(zip(problem.sources, lights, strict=True)):
        out[index] += direct_and_first(problem, grid, source, light, wavenumber, resolution).T
    tails = [edges.tail.reshape(columns, -1) for edges in passed]
    return Solved(out, np.concatenate(tails, axis=-1)[..., None])


def least_memory(
    edges: EdgeTable, wavelength: float, resolution: Resolution, sources: int
) -> float:
    """Bytes that one frequency takes at least; told from the number of points alone.

    Args:
        edges: the body's edges.
        wavelength: m.
        resolution: fineness of the rules.
        sources: how many.
    """
    nodes = np.array([resolution.points(length, wavelength) for length in edges.length])
    pairs = 0
    for face in range(int(edges.faces.max()) + 1):
        own = nodes[list(edges_round(edges, face))]
        pairs += int(own.sum() ** 2 - (own**2).sum())
    return sum(_bytes_for(pairs, int(nodes.sum()), resolution, sources))


def memory_needed(
    problem: Problem, wavenumber: float, resolution: Resolution, sources: int
) -> tuple[float, float]:
    """Bytes that one block takes, about: whatever its frequencies, and for each of them.

    Args:
        problem: the body.
        wavenumber: the highest, rad/m.
        resolution: fineness of the rules.
        sources: how many.
    """
    edges = problem.edges
    nothing = [(np.empty(0), np.empty(0))] * edges.length.size
    faces, wavelength = len(problem.body.faces), 2.0 * np.pi / wavenumber
    grid = build_grid(edges, faces, nothing, wavelength, resolution)
    return _bytes_for(pairs_seen(grid, wavenumber, resolution), grid.nodes, resolution, sources)


def _bytes_for(pairs: int, nodes: int, resolution: Resolution, sources: int) -> tuple[float, float]:
    size = float(np.dtype(resolution.real).itemsize)
    state = 2 * nodes * resolution.directions * 2 * sources
    return pairs * (3 * resolution.directions * size + 8.0), size * (2 * pairs + STATES * state)


def direct_and_first(
    problem: Problem,
    grid: Grid,
    source: Source,
    light: Light,
    wavenumber: np.ndarray,
    resolution: Resolution,
) -> np.ndarray:
    """Direct sound and first-order diffraction of one source, complex (receiver, frequency)."""
    receivers = problem.receivers
    on_own = on_own_face(problem.body, source.face, receivers)
    first = np.zeros((receivers.shape[0], 2, wavenumber.size))
    radiate_first_order(
        problem.body,
        grid,
        source,
        light,
        receivers,
        wavenumber,
        resolution.real,
        resolution.directions,
        first,
    )
    return direct_sound(source, receivers, on_own, wavenumber) + first[:, 0] + 1j * first[:, 1]


def on_own_face(body: Body, face: int, receivers: np.ndarray) -> np.ndarray:
    """Which receivers are on the face of a source; on a plate all that touch it are on its front.

    Args:
        body: the body.
        face: index of the source's face.
        receivers: (receiver, 3), m.
    """
    if face != 0 and body.thin:
        return np.zeros(receivers.shape[0], dtype=bool)
    return on_face(body, face, receivers)


def what_is_near(
    edges: EdgeTable, sources: Sequence[Source], receivers: np.ndarray
) -> list[tuple[np.ndarray, np.ndarray]]:
    """Per edge, feet and distances (m) of the rims and receivers its panels must resolve.

    Those hidden from it too: what passes by a close neighbour varies along it as fast.
    """
    points = np.concatenate([receivers, *map(rim_points, sources)])
    near = []
    for edge in range(edges.length.size):
        foot, rho = feet_on_edge(edges, edge, points)
        beside = rho < edges.length[edge]
        near.append((foot[beside], np.maximum(rho[beside], 1e-6)))
    return near
