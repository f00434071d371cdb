"""The last leg of the higher orders: from edges to receivers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from acoustics.cabinet import Body
from acoustics.field import kernels
from acoustics.field.emitters import Emitters, emitters_of
from acoustics.field.grid import SHORTEST_PANEL, Grid
from acoustics.field.orders import send
from acoustics.field.penumbra import behind_faces, join_views, taken_back, view_behind
from acoustics.field.quadrature import gauss_rule, rule_table
from acoustics.field.resolution import Resolution
from acoustics.field.sights import Sight
from acoustics.field.views import View, view_from_edge
from acoustics.field.waves import Waves, add_waves, no_waves, radiate_waves, waves_back


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
    back: Waves
    """from the targets themselves: see `penumbra`"""


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
    behind = behind_faces(body, grid.edges, receivers)
    for index, sight in enumerate(sights):
        seen = view_from_edge(body, grid.edges, sight.edge, sight.side, receivers)
        more = view_behind(grid.edges, sight.edge, sight.side, receivers, seen, behind)
        view = join_views(seen, more) if more.z.size else seen
        if view.index.size:
            yield index, _plan_leg(grid, sight, view, seen.z.size, wavenumber, resolution)


def _plan_leg(
    grid: Grid,
    sight: Sight,
    view: View,
    behind: int,
    wavenumber: float,
    resolution: Resolution,
) -> Leg:
    edge = sight.edge
    sides, nodes = sight.emitters()
    emitters = emitters_of(grid, edge, nodes, resolution)
    _, foot, rho, turn, slants, tolerance = emitters
    own = slice(0, sight.own)
    weights = np.empty((sight.take.shape[0], view.z.size, sight.own), dtype=resolution.real)
    plain = np.empty(foot.size, dtype=bool)
    near = []
    wedge = grid.edges.wedge[edge]
    waves = no_waves(wedge, view, foot.size, resolution)
    for panel in map(int, np.flatnonzero(grid.edge == edge)):
        first = grid.first[panel] - sight.targets.start
        part = weights[first : first + grid.count[panel]]
        panel_weights(grid, panel, foot[own], rho[own], view, part, slants[own])
        start, length, count = grid.start[panel], grid.length[panel], grid.count[panel]
        kernels.plain_ones(foot, rho, turn, start, length, count, tolerance, plain)
        part[:, :, ~plain[own]] = 0.0
        plain[sight.own :] = False
        served = np.flatnonzero(plain)
        add_waves(waves, wedge, view, emitters, served, (start, length, count))
        if not plain.all():
            chosen = np.flatnonzero(~plain)
            leg = _near_leg(grid, panel, view, emitters, chosen, wavenumber, resolution)
            near.append(leg)
            pairs = np.split(chosen[leg.pairs], leg.pieces[:-1, 3].astype(np.int64))
            for piece, served in zip(leg.pieces, pairs, strict=True):
                add_waves(waves, wedge, view, emitters, served, piece[:3])
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
        back=taken_back(grid, sight.targets, view, behind, resolution),
    )


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
    waves_back(leg.waves, half_turns, strength)
    # A receiver may be in a view twice, so its columns are added one by one.
    by_receiver = strength.reshape(*strength.shape[:3], view.z.size, frequencies)
    part = asked.reshape(*asked.shape[:4], -1, frequencies)
    for place, receiver in enumerate(view.index):
        part[leg.sides, leg.nodes, :, :, receiver] += by_receiver[..., place, :]


def ask_taken_back(leg: Leg, wavenumber: np.ndarray, asked: np.ndarray) -> None:
    """What `radiate_edges` takes back of a leg's receivers, transposed: added to `asked`.

    `asked` as in `ask_back`. It is asked of what the edges pass on, not of what sources send them.
    """
    own = asked[leg.sight.side, leg.sight.targets]
    waves_back(replace(leg.back, which=leg.view.index[leg.back.which]), wavenumber / np.pi, own)


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


def radiate_edges(
    leg: Leg,
    phase: np.ndarray,
    leaving: np.ndarray,
    first: np.ndarray,
    wavenumber: np.ndarray,
    pressure: np.ndarray,
) -> None:
    """Add one leg of the higher orders to `pressure` (receiver, 2, column).

    `leaving` is (side, node, direction, 2, column); the columns repeat the frequencies of
    `wavenumber` for every source, `phase` is the leg's sight's. `first`, likewise, is the part of
    `leaving` that sources make: what is taken back of it belongs to the first order.
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
    radiate_waves(leg.waves, strength, half_turns, view.index, pressure)
    if leg.back.which.size:
        own = leg.sight.side, leg.sight.targets
        radiate_waves(leg.back, leaving[own] - first[own], half_turns, view.index, pressure)
