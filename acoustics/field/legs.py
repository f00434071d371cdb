"""The last leg of the higher orders: from edges to receivers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from acoustics.cabinet import Body
from acoustics.field import kernels
from acoustics.field.grid import (
    SHORTEST_PANEL,
    EdgeTable,
    Grid,
    feet_on_edge,
    least_turn,
    left_open,
)
from acoustics.field.orders import send
from acoustics.field.quadrature import gauss_rule, rule_table
from acoustics.field.resolution import Resolution
from acoustics.field.sights import Points, Sight, nodes_as_points
from acoustics.field.views import View, view_from_edge

LEG_DIGITS = 1.5
"""times as many as the tolerance has: at a zone boundary the rule's polynomial is carried to a pole
close to the edge, which it reaches with about half the digits that the rule has."""

PARALLEL = 1e-9
"""Sine of the angle between parallel edges."""


class Emitters(NamedTuple):
    """Nodes of a face's other edges as an edge sees them; every array is over them.

    Where pieces of a panel serve them, what the edge passes on varies from one to the next no
    faster than their own strength, so that they need no points between them as in a sight.
    """

    points: Points
    foot: np.ndarray
    """m, along the edge"""
    rho: np.ndarray
    """m, from its line"""
    turn: np.ndarray
    """rad: the lesser by which faces turn at the two edges"""
    slants: np.ndarray
    """(emitter, 5): see kernels.grazing"""
    tolerance: np.ndarray
    """within which a piece of the edge must resolve them"""


@dataclass(frozen=True)
class NearLeg:
    """Last legs from emitters to a panel near them, cut in pieces for them."""

    chosen: np.ndarray
    """which emitters of the leg"""
    pieces: np.ndarray
    """(piece, 4): start and length (m along the edge), points, end of its pairs"""
    pairs: np.ndarray
    """which of the chosen each piece serves, one piece after the other"""
    z: np.ndarray
    """(point,), m along the edge"""
    distance: np.ndarray
    """(point and emitter,), m"""
    give: np.ndarray
    """(point and emitter, direction)"""
    weights: np.ndarray
    """(point, receiver and emitter,)"""


@dataclass(frozen=True)
class Waves:
    """What the panels' rules miss of the zone boundaries, for the receivers next to one."""

    which: np.ndarray
    """receivers of the view (n,)"""
    path: np.ndarray
    """(emitter, n), m"""
    weights: np.ndarray
    """(emitter, n, direction)"""


@dataclass(frozen=True)
class Leg:
    """The targets of one sight as the last stop before the receivers; nothing of frequency."""

    sight: Sight
    sides: np.ndarray
    """of the emitters: all nodes that the edge sees (emitter,)"""
    nodes: np.ndarray
    """of the grid (emitter,)"""
    view: View
    factor: np.ndarray
    """(receiver,): −ν/4π, halved where the leg grazes"""
    z: np.ndarray
    """(target,), m along the edge"""
    weights: np.ndarray
    """(target, receiver, emitter), of the sight's own; zero where `near` serves"""
    near: tuple[NearLeg, ...]
    waves: Waves


def plan_legs(
    body: Body,
    grid: Grid,
    sights: list[Sight],
    receivers: np.ndarray,
    wavenumber: float,
    resolution: Resolution,
) -> Iterator[tuple[int, Leg]]:
    """Every last leg of the higher orders and its sight's number, one at a time: they are large.

    Args:
        body: the body.
        grid: its edge points.
        sights: what they see of each other.
        receivers: (receiver, 3), m.
        wavenumber: the highest, rad/m.
        resolution: fineness of the rules.
    """
    for index, sight in enumerate(sights):
        view = view_from_edge(body, grid.edges, sight.edge, sight.side, receivers)
        if view.index.size:
            yield index, _plan_leg(grid, sight, view, wavenumber, resolution)


def _plan_leg(
    grid: Grid, sight: Sight, view: View, wavenumber: float, resolution: Resolution
) -> Leg:
    edge = sight.edge
    sides, nodes = sight.emitters()
    emitters = emitters_of(grid, edge, nodes, resolution)
    _, foot, rho, turn, slants, tolerance = emitters
    own = slice(0, sight.own)
    weights = np.empty((sight.take.shape[0], view.z.size, sight.own), dtype=resolution.real)
    plain = np.empty(foot.size, dtype=bool)
    near = []
    waves = _no_waves(grid, edge, view, foot.size, resolution)
    for panel in map(int, np.flatnonzero(grid.edge == edge)):
        first = grid.first[panel] - sight.targets.start
        part = weights[first : first + grid.count[panel]]
        panel_weights(grid, panel, foot[own], rho[own], view, part, slants[own])
        start, length, count = grid.start[panel], grid.length[panel], grid.count[panel]
        kernels.plain_ones(foot, rho, turn, start, length, count, tolerance, plain)
        part[:, :, ~plain[own]] = 0.0
        plain[sight.own :] = False
        served = np.flatnonzero(plain)
        _add_waves(grid, edge, view, emitters, served, (start, length, count), waves)
        if not plain.all():
            chosen = np.flatnonzero(~plain)
            leg = _near_leg(grid, panel, view, emitters, chosen, wavenumber, resolution)
            near.append(leg)
            pairs = np.split(chosen[leg.pairs], leg.pieces[:-1, 3].astype(np.int64))
            for piece, served in zip(leg.pieces, pairs, strict=True):
                _add_waves(grid, edge, view, emitters, served, piece[:3], waves)
    return Leg(
        sight=sight,
        sides=sides,
        nodes=nodes,
        view=view,
        factor=leg_factor(grid, edge, view),
        z=grid.node_z[sight.targets],
        weights=weights,
        near=tuple(near),
        waves=waves,
    )


def _no_waves(
    grid: Grid, edge: int, view: View, emitters: int, resolution: Resolution
) -> Waves:
    """Room for what `_add_waves` finds."""
    second = 2.0 * grid.edges.wedge[edge] - np.pi
    off = np.minimum(np.abs(np.pi - view.theta), np.abs(second - view.theta))
    which = np.flatnonzero(off < kernels.NEEDLE)
    shape = emitters, which.size
    weights = np.zeros((*shape, resolution.directions), dtype=resolution.real)
    return Waves(which, np.zeros(shape), weights)


def _phases(waves: Waves, half_turns: np.ndarray, real: type[np.floating]) -> np.ndarray:
    """e^(−jk·path) of every emitter and receiver."""
    out = np.empty((waves.path.size, 2, half_turns.size), dtype=real)
    kernels.phase_table(half_turns, waves.path.ravel(), out)
    return out


def _add_waves(
    grid: Grid,
    edge: int,
    view: View,
    emitters: Emitters,
    served: np.ndarray,
    piece: tuple[float, float, int],
    waves: Waves,
) -> None:
    """Add the waves of a panel, or a piece of it (start, length, points), and those it serves."""
    which = waves.which
    if which.size == 0:
        return
    start, length, count = piece
    rule, basis = gauss_rule(int(count)), gauss_rule(waves.weights.shape[2])
    kernels.needle_waves(
        served, emitters.foot, emitters.rho, emitters.slants, emitters.points.weight, start, length,
        rule.x, rule.w, grid.edges.wedge[edge], view.z[which], view.rho[which], view.theta[which],
        view.share[which], basis, waves.path, waves.weights,
    )  # fmt: skip


def emitters_of(grid: Grid, edge: int, nodes: np.ndarray, resolution: Resolution) -> Emitters:
    """See nodes from an edge of one of their faces."""
    points = nodes_as_points(grid, nodes)
    foot, rho = feet_on_edge(grid.edges, edge, points.position)
    turn = least_turn(grid.edges, edge, points.edge)
    strict = resolution.sight**LEG_DIGITS
    tolerance = left_open(grid.edges, edge, points.edge, strict, resolution.corner)
    return Emitters(points, foot, rho, turn, slants_of(grid.edges, edge, points), tolerance)


def leg_factor(grid: Grid, edge: int, view: View) -> np.ndarray:
    """−ν/4π for every receiver of a view, halved where the leg grazes."""
    return -grid.edges.nu[edge] / (4.0 * np.pi) * view.share


def _near_leg(
    grid: Grid,
    panel: int,
    view: View,
    emitters: Emitters,
    chosen: np.ndarray,
    wavenumber: float,
    resolution: Resolution,
) -> NearLeg:
    foot, rho, turn, slants, tolerance = (array[chosen] for array in emitters[1:])
    edge, start, length = int(grid.edge[panel]), grid.start[panel], grid.length[panel]
    rule = resolution.on_pieces(wavenumber)
    how = foot, rho, turn, start, length, *rule, tolerance, SHORTEST_PANEL * length
    found, paired = kernels.cut_panel(*how, np.empty((0, 4)), np.empty(0, dtype=np.int64))
    pieces, pairs = np.empty((found, 4)), np.empty(paired, dtype=np.int64)
    kernels.cut_panel(*how, pieces, pairs)
    points = pieces[:, 2].astype(np.int64)
    served = np.diff(pieces[:, 3], prepend=0.0)
    rows = int(pieces[:, 2] @ served)
    z = np.empty(points.sum())
    distance, real = np.empty(rows), resolution.real
    give = np.empty((rows, resolution.directions), dtype=real)
    weights = np.empty(rows * view.z.size, dtype=real)
    kernels.fill_near_leg(
        grid.edges, edge, emitters.points, chosen, slants, foot, rho, pieces, pairs,
        rule_table(np.unique(points)), gauss_rule(resolution.directions), view, z, distance, give,
        weights,
    )  # fmt: skip
    return NearLeg(chosen, pieces, pairs, z, distance, give, weights)


def ask_back(leg: Leg, phase: np.ndarray, wavenumber: np.ndarray, asked: np.ndarray) -> None:
    """`radiate_edges` transposed: add what a leg's receivers ask of the edges to `asked`.

    `asked` is (side, node, direction, 2, column); the columns are all receivers' × frequencies.
    """
    half_turns, view, real = wavenumber / np.pi, leg.view, asked.dtype
    directions, frequencies = asked.shape[2], wavenumber.size
    columns = view.z.size * frequencies
    heard = np.empty((leg.z.size, view.z.size, 2, frequencies), dtype=real)
    kernels.hearing(leg.z, view.z, view.rho, leg.factor, half_turns, heard)
    own = leg.sight.own
    sent = np.empty((own, leg.z.size, 2, columns), dtype=real)
    kernels.leg_back(leg.weights, phase, heard, sent)
    flat = sent.reshape(own, leg.z.size, 2 * columns)
    strength = np.zeros((leg.nodes.size, directions, 2, columns), dtype=real)
    np.matmul(
        leg.sight.give[:own].swapaxes(1, 2), flat,
        out=strength[:own].reshape(own, directions, 2 * columns),
    )  # fmt: skip
    for near in leg.near:
        points = np.empty((near.z.size, *heard.shape[1:]), dtype=real)
        kernels.hearing(near.z, view.z, view.rho, leg.factor, half_turns, points)
        kernels.near_leg_back(
            near.chosen, near.pieces, near.pairs, near.distance, near.give, near.weights,
            half_turns, points, strength,
        )  # fmt: skip
    if leg.waves.which.size:
        phases = _phases(leg.waves, half_turns, real)
        phases = phases.reshape(*leg.waves.path.shape, 1, 2, frequencies)
        turned = leg.waves.weights[..., None, None] * phases
        by_wave = strength.reshape(*strength.shape[:3], view.z.size, frequencies)
        by_wave[..., leg.waves.which, :] += turned.transpose(0, 2, 3, 1, 4)
    # A receiver may be in a view twice, so its columns are added one by one.
    by_receiver = strength.reshape(*strength.shape[:3], view.z.size, frequencies)
    part = asked.reshape(*asked.shape[:4], -1, frequencies)
    for place, receiver in enumerate(view.index):
        part[leg.sides, leg.nodes, :, :, receiver] += by_receiver[..., place, :]


def panel_weights(
    grid: Grid,
    panel: int,
    foot: np.ndarray,
    rho: np.ndarray,
    view: View,
    out: np.ndarray,
    slants: np.ndarray | None = None,
) -> None:
    """Fill `out` (q, receiver, emitter): weights of emitter → panel's own points → receiver.

    With the correction for zone boundaries where `slants` of the emitters are given.
    """
    edge = grid.edge[panel]
    kernels.leg_weights(
        foot, rho, np.empty((0, 5)) if slants is None else slants, grid.start[panel],
        grid.length[panel], *gauss_rule(int(grid.count[panel])), grid.edges.nu[edge],
        grid.edges.wedge[edge], view.z, view.rho, view.theta, slants is not None, out,
    )  # fmt: skip


def slants_of(edges: EdgeTable, edge: int, sources: Points) -> np.ndarray:
    """How the edges of sources lie to another edge, (source, 5); see kernels.grazing."""
    own = sources.edge
    along, target = edges.along[own], edges.along[edge]
    between = edges.origin[edge] - sources.position
    ahead = np.einsum("ni,ni->n", between, along)
    cosine = along @ target
    cross = np.cross(along, target)
    square = np.einsum("ni,ni->n", cross, cross)
    parallel = square < PARALLEL**2
    square[parallel] = 1.0
    meet = np.einsum("ni,ni->n", np.cross(along, between), cross) / -square
    sine = np.where(parallel, 0.0, np.sqrt(square))
    return np.stack([edges.nu[own], ahead, cosine, meet, sine], axis=1)


def radiate_edges(
    leg: Leg, phase: np.ndarray, leaving: np.ndarray, wavenumber: np.ndarray, pressure: np.ndarray
) -> None:
    """Add one leg of the higher orders to `pressure` (receiver, 2, column).

    `leaving` is (side, node, direction, 2, column); the columns repeat the frequencies of
    `wavenumber` for every source, `phase` is the leg's sight's.
    """
    half_turns, view = wavenumber / np.pi, leg.view
    strength = leaving[leg.sides, leg.nodes]
    sent = send(leg.sight, phase, strength[: leg.sight.own])
    arrived = np.matmul(leg.weights, sent.swapaxes(0, 1)).reshape(leg.z.size, view.z.size, 2, -1)
    kernels.radiate(arrived, leg.z, view.z, view.rho, leg.factor, half_turns, view.index, pressure)
    for near in leg.near:
        kernels.radiate_near(
            strength, near.chosen, near.pieces, near.pairs, near.z, near.distance, near.give,
            near.weights, view, leg.factor, half_turns, pressure,
        )  # fmt: skip
    if leg.waves.which.size:
        columns = strength.shape[-1]
        flat = strength.reshape(*strength.shape[:2], 2 * columns)
        sent = np.matmul(leg.waves.weights, flat).reshape(-1, 2, columns)
        kernels.turn_rows(sent, _phases(leg.waves, half_turns, sent.dtype))
        heard = sent.reshape(*leg.waves.path.shape, 2, columns).sum(axis=0)
        np.add.at(pressure, view.index[leg.waves.which], heard)
