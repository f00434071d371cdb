"""What edges see of each other along the faces, tabulated once for all frequencies of a grid."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from acoustics.field import kernels
from acoustics.field.grid import Grid, meet_sharply
from acoustics.field.quadrature import gauss_rule
from acoustics.field.resolution import Resolution

FINER = (1.25, 1.5, 2.0, 2.5, 3.0, 4.0)
"""times as many points as nodes on a panel that a close edge sees"""


@dataclass(frozen=True)
class NearSight:
    """What nodes see of a panel near them, by rules of their own; a row is a point of a rule."""

    side: int
    """of the panel's edge from which it sends"""
    panel: slice
    """nodes of the panel"""
    give: np.ndarray
    """(row, node of the panel × direction)"""
    take: np.ndarray
    """(row, side × direction)"""
    distance: np.ndarray
    """(row,), m"""
    targets: np.ndarray
    """(row,), the node that sees it"""


class Points(NamedTuple):
    """Points on edges that send along a face: nodes, or more where they are seen from close by."""

    edge: np.ndarray
    z: np.ndarray
    """(point,), m along its edge"""
    weight: np.ndarray
    """(point,), m"""
    position: np.ndarray
    """(point, 3), m"""


@dataclass(frozen=True)
class Run:
    """The points of one panel among those of a sight."""

    side: int
    """of the panel's edge, on which the face lies"""
    nodes: slice
    """of the grid"""
    points: slice
    """of the sight"""
    spread: np.ndarray | None
    """(point, node): interpolation, where the points are more than the nodes"""


@dataclass(frozen=True)
class Sight:
    """All that the nodes of one edge see along one of its faces: points of its other edges.

    What passes is take · e^(−jk·distance) · give · strength: real tables, and a phase that alone
    depends on frequency. Read backwards, the same tables are the transposed operator.
    """

    edge: int
    side: int
    """of the edge, on which the face lies"""
    targets: slice
    """nodes of the edge"""
    sources: Points
    runs: tuple[Run, ...]
    give: np.ndarray
    """(source, target, direction): weight/distance times the basis toward the target"""
    take: np.ndarray
    """(target, side × direction, source): what leaves the target; zero where `near` serves"""
    distance: np.ndarray
    """(source, target), m"""
    near: tuple[NearSight, ...]


@dataclass(frozen=True)
class Phases:
    """e^(−jk·distance) of one sight: (source × target, 2, frequency), and of its near rows."""

    plain: np.ndarray
    near: tuple[np.ndarray, ...]


def find_sights(grid: Grid, wavenumber: float, resolution: Resolution) -> list[Sight]:
    """Tabulate the sight lines between the edges of a grid, good up to `wavenumber` (rad/m)."""
    return [
        _find_sight(grid, entries, edge, side, wavenumber, resolution)
        for face in range(grid.face_first.size - 1)
        for entries in [grid.panels_of_face(face)]
        for edge, side in dict.fromkeys((int(grid.edge[panel]), side) for panel, side in entries)
    ]


def phases_of(sight: Sight, wavenumber: np.ndarray, real: type[np.floating]) -> Phases:
    """The phases of a sight at some frequencies, in a precision."""
    return Phases(
        _phases(sight.distance.ravel(), wavenumber, real),
        tuple(_phases(near.distance, wavenumber, real) for near in sight.near),
    )


def _phases(distance: np.ndarray, wavenumber: np.ndarray, real: type[np.floating]) -> np.ndarray:
    out = np.empty((distance.size, 2, wavenumber.size), dtype=real)
    kernels.phase_table(wavenumber / np.pi, distance, out)
    return out


def _find_sight(
    grid: Grid,
    entries: list[tuple[int, int]],
    edge: int,
    side: int,
    wavenumber: float,
    resolution: Resolution,
) -> Sight:
    targets = grid.nodes_of_edge(edge)
    count, directions = targets.stop - targets.start, resolution.directions
    others = [(panel, s) for panel, s in entries if grid.edge[panel] != edge]
    meets = meet_sharply(grid.edges, edge, grid.edge[[panel for panel, _ in others]])
    runs, parts, near, unseen = [], [], [], []
    stop = 0
    for (panel, s), sharply in zip(others, meets, strict=True):
        points, plain = _points_needed(grid, edge, panel, bool(sharply), resolution)
        nodes = slice(grid.first[panel], grid.first[panel] + grid.count[panel])
        spread = None
        if points > grid.count[panel]:
            spread = grid.interpolation(panel, gauss_rule(points).x).astype(resolution.real)
        run = Run(s, nodes, slice(stop, stop + points), spread)
        stop = run.points.stop
        runs.append(run)
        parts.append(_points_on(grid, panel, points))
        if not plain.all():
            close = targets.start + np.flatnonzero(~plain)
            near.append(_find_near(grid, close, side, panel, run, wavenumber, resolution))
            unseen.append((~plain, run.points))
    sources = Points(*(np.concatenate(arrays) for arrays in zip(*parts, strict=True)))
    give = np.empty((stop, count, directions), dtype=resolution.real)
    take = np.empty((count, 2 * directions, stop), dtype=resolution.real)
    distance = np.empty((stop, count))
    kernels.fill_sight(
        grid, sources, targets.start, side, gauss_rule(directions), give, take, distance
    )
    for hidden, part in unseen:
        take[hidden, :, part] = 0.0
    return Sight(edge, side, targets, sources, tuple(runs), give, take, distance, tuple(near))


def _points_needed(
    grid: Grid, edge: int, panel: int, meets: bool, resolution: Resolution
) -> tuple[int, np.ndarray]:
    """On how many points an edge sees a panel, and which of its nodes are served by them.

    meets: whether the panel's edge meets it sharply in a corner.
    """
    targets = grid.nodes_of_edge(edge)
    plain = np.empty(targets.stop - targets.start, dtype=bool)
    tolerance = max(resolution.corner, resolution.sight) if meets else resolution.sight
    count = int(grid.count[panel])
    for points in (count,) if meets else (count, *(math.ceil(more * count) for more in FINER)):
        kernels.far_enough(grid, targets.start, panel, points, tolerance, plain)
        if plain.all():
            return points, plain
    kernels.far_enough(grid, targets.start, panel, count, tolerance, plain)
    return count, plain


def _points_on(grid: Grid, panel: int, points: int) -> Points:
    rule = gauss_rule(points)
    edge, half = int(grid.edge[panel]), 0.5 * grid.length[panel]
    z = grid.start[panel] + half * (1.0 + rule.x)
    position = grid.edges.origin[edge] + z[:, None] * grid.edges.along[edge]
    return Points(np.full(points, edge), z, half * rule.w, position)


def _find_near(
    grid: Grid,
    nodes: np.ndarray,
    side: int,
    panel: int,
    run: Run,
    wavenumber: float,
    resolution: Resolution,
) -> NearSight:
    rows = near_rows(grid, nodes, panel, wavenumber, resolution.sight)
    directions = resolution.directions
    sight = NearSight(
        side=run.side,
        panel=run.nodes,
        give=np.empty((rows, grid.count[panel] * directions), dtype=resolution.real),
        take=np.empty((rows, 2 * directions), dtype=resolution.real),
        distance=np.empty(rows),
        targets=np.empty(rows, dtype=np.int64),
    )
    kernels.fill_near_sight(
        grid, nodes, side, panel, gauss_rule(directions), gauss_rule(kernels.NEAR_POINTS),
        wavenumber, resolution.sight, sight.give, sight.take, sight.distance, sight.targets,
    )  # fmt: skip
    return sight


def near_rows(
    grid: Grid, nodes: np.ndarray, panel: int, wavenumber: float, tolerance: float
) -> int:
    """How many points the rules have by which nodes see a panel near them."""
    counts = np.empty(nodes.size, dtype=np.int64)
    kernels.near_counts(grid, nodes, panel, wavenumber, tolerance, counts)
    return int(counts.sum())
