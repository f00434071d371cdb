"""One block of frequencies on one grid: direct sound, first order, all orders."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from acoustics.cabinet import Body, on_face
from acoustics.field.grid import EdgeTable, Grid, build_grid, build_links, feet_on_edge
from acoustics.field.legs import plan_legs, radiate_edges, radiate_first_order
from acoustics.field.orders import all_orders, light_edges
from acoustics.field.piston import Light, Source, direct_sound, rim_points, source_points
from acoustics.field.resolution import Resolution

CHUNK = 24
"""Frequencies solved side by side: enough to fill the vector units, few enough for the cache."""

GROUP = 256
"""Receivers taken together in the last leg; bounds the memory of its weights."""


@dataclass(frozen=True)
class Problem:
    """Where sound is wanted, and what radiates it; receivers (receiver, 3) in metres."""

    body: Body
    edges: EdgeTable
    sources: tuple[Source, ...]
    receivers: np.ndarray

    @property
    def shallowest(self) -> float:
        """The least angle by which two faces turn at an edge, rad."""
        return float(self.edges.wedge.min()) - np.pi


class Solved(NamedTuple):
    """The field of one block of frequencies."""

    pressure: np.ndarray
    """complex (source, frequency, receiver)"""
    tail: np.ndarray
    """(source, frequency): see orders.Passed"""


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
        problem.edges, len(body.faces), _what_is_near(problem), 2.0 * np.pi / top, resolution
    )
    links = build_links(grid, top, resolution)
    lights = [source_points(source, top, resolution.tolerance) for source in problem.sources]
    chunks = [wavenumber[start : start + CHUNK] for start in range(0, wavenumber.size, CHUNK)]
    passed = []
    for k in chunks:
        first = [
            light_edges(grid, source, light, k, resolution)
            for source, light in zip(problem.sources, lights, strict=True)
        ]
        passed.append(
            all_orders(grid, links, np.concatenate(first, axis=-1), k, resolution, checkpoint)
        )
    columns = len(problem.sources)
    out = np.empty((columns, wavenumber.size, receivers.shape[0]), dtype=complex)
    for start in range(0, receivers.shape[0], GROUP):
        group = slice(start, min(start + GROUP, receivers.shape[0]))
        size = group.stop - group.start
        pressure = [np.zeros((size, 2, columns * k.size)) for k in chunks]
        for leg in plan_legs(body, grid, receivers[group], top, resolution):
            for k, edges, heard in zip(chunks, passed, pressure, strict=True):
                checkpoint()
                radiate_edges(grid, leg, edges.strength, k, heard)
        parts = [
            (heard[:, 0] + 1j * heard[:, 1]).reshape(size, columns, k.size)
            for k, heard in zip(chunks, pressure, strict=True)
        ]
        out[:, :, group] = np.concatenate(parts, axis=-1).transpose(1, 2, 0)
    for index, (source, light) in enumerate(zip(problem.sources, lights, strict=True)):
        out[index] += _direct_and_first(problem, grid, source, light, wavenumber).T
    tails = [edges.tail.reshape(columns, -1) for edges in passed]
    return Solved(out, np.concatenate(tails, axis=-1))


def memory_needed(edges: EdgeTable, wavelength: float, resolution: Resolution) -> float:
    """Bytes that the sight lines of one block's grid take, about; the largest of its tables."""
    nodes = sum(resolution.points(length, wavelength) for length in edges.length)
    # Every node sees about half of the others along its two faces.
    return 0.5 * nodes**2 * 8.0 * (3 * resolution.directions + 3)


def _direct_and_first(
    problem: Problem,
    grid: Grid,
    source: Source,
    light: Light,
    wavenumber: np.ndarray,
) -> np.ndarray:
    """Direct sound and first-order diffraction of one source, complex (receiver, frequency)."""
    receivers = problem.receivers
    on_own = on_face(problem.body, source.face, receivers)
    if source.face != 0 and problem.body.thin:
        on_own[:] = False  # on a plate a receiver is on its front
    first = np.zeros((receivers.shape[0], 2, wavenumber.size))
    radiate_first_order(problem.body, grid, source, light, receivers, wavenumber, first)
    return direct_sound(source, receivers, on_own, wavenumber) + first[:, 0] + 1j * first[:, 1]


def _what_is_near(problem: Problem) -> list[tuple[np.ndarray, np.ndarray]]:
    """Per edge, feet and distances (m) of the rims and receivers its panels must resolve.

    Those hidden from it too: what passes by a close neighbour varies along it as fast.
    """
    edges = problem.edges
    points = np.concatenate([problem.receivers, *map(rim_points, problem.sources)])
    near = []
    for edge in range(edges.length.size):
        foot, rho = feet_on_edge(edges, edge, points)
        beside = rho < edges.length[edge]
        near.append((foot[beside], np.maximum(rho[beside], 1e-6)))
    return near
