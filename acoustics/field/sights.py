"""What edges see of each other along the faces, tabulated once for all frequencies of a grid."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from acoustics.field import kernels
from acoustics.field.grid import SHORTEST_PANEL, Grid, feet_on_edge, least_turn, left_open
from acoustics.field.quadrature import gauss_rule
from acoustics.field.resolution import Resolution

FINER = (1.25, 1.5, 2.0, 2.5, 3.0, 4.0)
"""times as many points as nodes on a panel that a close edge sees, where no pieces are better"""

DRAWN = 3.0
"""power by which points are drawn to a vertex: of a root of the order ν it makes one of 3ν"""


class Points(NamedTuple):
    """Points on edges that send along a face."""

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
    """nodes of panels far enough away; then, of close ones, more points than they have nodes"""
    runs: tuple[Run, ...]
    give: np.ndarray
    """(source, target, direction): weight/distance times the basis toward the target"""
    take: np.ndarray
    """(target, side × direction, source): what leaves the target"""
    distance: np.ndarray
    """(source, target), m"""

    @property
    def own(self) -> int:
        """How many sources are nodes themselves: the first."""
        stops = [run.points.stop for run in self.runs if run.spread is None]
        return max(stops, default=0)

    def emitters(self) -> tuple[np.ndarray, np.ndarray]:
        """Sides and nodes of all panels that are seen, in the order of the runs."""
        nodes = [np.arange(run.nodes.start, run.nodes.stop) for run in self.runs]
        sides = [np.full(part.size, run.side) for run, part in zip(self.runs, nodes, strict=True)]
        return np.concatenate(sides), np.concatenate(nodes)


def find_sights(grid: Grid, wavenumber: float, resolution: Resolution) -> list[Sight]:
    """Tabulate the sight lines between the edges of a grid, good up to `wavenumber` (rad/m)."""
    return [
        _find_sight(grid, edge, side, others, wavenumber, resolution)
        for edge, side, others in _lookouts(grid)
    ]


def pairs_seen(grid: Grid, wavenumber: float, resolution: Resolution) -> int:
    """How many pairs of a source and a target all sights have together."""
    pairs = 0
    for edge, _, others in _lookouts(grid):
        nodes = grid.nodes_of_edge(edge)
        for panel, _ in others:
            rule = _rule_seen(grid, edge, panel, wavenumber, resolution)
            points = int(grid.count[panel]) if rule is None else rule[0].size
            pairs += points * (nodes.stop - nodes.start)
    return pairs


def _lookouts(grid: Grid) -> Iterator[tuple[int, int, list[tuple[int, int]]]]:
    """Every edge, side on which it has a face, and panels and sides of that face's other edges."""
    for face in range(grid.face_first.size - 1):
        entries = grid.panels_of_face(face)
        for edge, side in dict.fromkeys((int(grid.edge[panel]), side) for panel, side in entries):
            yield edge, side, [(panel, s) for panel, s in entries if grid.edge[panel] != edge]


def phases_of(sight: Sight, wavenumber: np.ndarray, real: type[np.floating]) -> np.ndarray:
    """e^(−jk·distance) of a sight at some frequencies: (source × target, 2, frequency)."""
    out = np.empty((sight.distance.size, 2, wavenumber.size), dtype=real)
    kernels.phase_table(wavenumber / np.pi, sight.distance.ravel(), out)
    return out


def nodes_as_points(grid: Grid, nodes: np.ndarray) -> Points:
    """Nodes of a grid as points that send."""
    return Points(
        grid.node_edge[nodes], grid.node_z[nodes], grid.node_weight[nodes],
        grid.node_position[nodes],
    )  # fmt: skip


def _find_sight(
    grid: Grid,
    edge: int,
    side: int,
    others: list[tuple[int, int]],
    wavenumber: float,
    resolution: Resolution,
) -> Sight:
    targets = grid.nodes_of_edge(edge)
    count, directions = targets.stop - targets.start, resolution.directions
    rules = [_rule_seen(grid, edge, panel, wavenumber, resolution) for panel, _ in others]
    runs, parts = [], []
    stop = 0
    for place in sorted(range(len(others)), key=lambda place: rules[place] is not None):
        (panel, s), rule = others[place], rules[place]
        nodes = slice(grid.first[panel], grid.first[panel] + grid.count[panel])
        spread = None
        if rule is None:
            parts.append(nodes_as_points(grid, grid.nodes_of_panel(panel)))
        else:
            x, w = rule
            spread = grid.interpolation(panel, x).astype(resolution.real)
            parts.append(_points_on(grid, panel, x, w))
        points = slice(stop, stop + parts[-1].z.size)
        stop = points.stop
        runs.append(Run(s, nodes, points, spread))
    sources = Points(*(np.concatenate(arrays) for arrays in zip(*parts, strict=True)))
    give = np.empty((stop, count, directions), dtype=resolution.real)
    take = np.empty((count, 2 * directions, stop), dtype=resolution.real)
    distance = np.empty((stop, count))
    kernels.fill_sight(
        grid, sources, targets.start, side, gauss_rule(directions), give, take, distance
    )
    return Sight(edge, side, targets, sources, tuple(runs), give, take, distance)


def _rule_seen(
    grid: Grid, edge: int, panel: int, wavenumber: float, resolution: Resolution
) -> tuple[np.ndarray, np.ndarray] | None:
    """By which rule on [−1, 1] all nodes of an edge see a panel; None: by its own nodes.

    More Gauss points on the panel, or Gauss points on pieces of it that are the smaller the closer
    they are to a node, whichever are fewer.
    """
    nodes, other = grid.nodes_of_edge(edge), int(grid.edge[panel])
    foot, rho = feet_on_edge(grid.edges, other, grid.node_position[nodes])
    start, length, count = grid.start[panel], grid.length[panel], int(grid.count[panel])
    alike = np.full(foot.size, other)
    turn = least_turn(grid.edges, edge, alike)
    tolerance = left_open(grid.edges, edge, alike, resolution.sight, resolution.corner)
    about = foot, rho, turn, start, length
    if kernels.all_plain(*about, count, tolerance):
        return None
    pieces = _pieces(*about, wavenumber, tolerance, resolution)
    number = int(pieces[:, 2].sum())
    for points in (math.ceil(more * count) for more in FINER):
        if points < number and kernels.all_plain(*about, points, tolerance):
            rule = gauss_rule(points)
            return rule.x, rule.w
    vertex = np.isin(grid.ends[panel], grid.edges.corners[edge])
    x, w = zip(*(_on_piece(piece, start, length, vertex) for piece in pieces), strict=True)
    return np.concatenate(x), np.concatenate(w)


def _on_piece(
    piece: np.ndarray, start: float, length: float, vertex: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """A Gauss rule on a piece of a panel, points and weights in the panel's own variable [−1, 1].

    Drawn to a vertex that the edges share, where what is passed on has a root.
    """
    begin, extent, points = piece
    rule = gauss_rule(int(points))
    x, w = rule.x, rule.w
    if vertex[0] and begin == start:
        x, w = _drawn(rule.x, rule.w)
    elif vertex[1] and begin + extent > start + length - 0.5 * extent:
        x, w = _drawn(-rule.x, rule.w)
        x = -x
    half = extent / length
    return 2.0 * (begin - start) / length - 1.0 + half * (1.0 + x), half * w


def _drawn(x: np.ndarray, w: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """A rule on [−1, 1] drawn to −1 by the power DRAWN."""
    v = 0.5 * (1.0 + x)
    return 2.0 * v**DRAWN - 1.0, w * DRAWN * v ** (DRAWN - 1.0)


def _pieces(
    foot: np.ndarray,
    rho: np.ndarray,
    turn: np.ndarray,
    start: float,
    length: float,
    wavenumber: float,
    tolerance: np.ndarray,
    resolution: Resolution,
) -> np.ndarray:
    """Start, length and points of pieces of a panel that all resolve all points near it."""
    rule = resolution.on_pieces(wavenumber)
    how = foot, rho, turn, start, length, *rule, tolerance, SHORTEST_PANEL * length
    pieces = np.empty((kernels.cut_for_all(*how, np.empty((0, 3))), 3))
    kernels.cut_for_all(*how, pieces)
    return pieces


def _points_on(grid: Grid, panel: int, x: np.ndarray, w: np.ndarray) -> Points:
    edge, half = int(grid.edge[panel]), 0.5 * grid.length[panel]
    z = grid.start[panel] + half * (1.0 + x)
    position = grid.edges.origin[edge] + z[:, None] * grid.edges.along[edge]
    return Points(np.full(x.size, edge), z, half * w, position)
