"""The last leg: from edges to receivers, first order and all orders."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from acoustics.cabinet import Body, on_face
from acoustics.cabinet.body import PLANE_TOLERANCE
from acoustics.field import kernels
from acoustics.field.grid import EdgeTable, Grid, feet_on_edge
from acoustics.field.piston import Light, Source
from acoustics.field.quadrature import gauss_rule
from acoustics.field.resolution import Resolution

LEG_DIGITS = 1.5
"""times as many as the tolerance has: at a zone boundary the rule's polynomial is carried to a pole
close to the edge, which it reaches with about half the digits that the rule has."""

PARALLEL = 1e-9
"""Sine of the angle between parallel edges."""

THIN = 2.0 * np.pi
"""Exterior angle of the edge of a plate without thickness."""


@dataclass(frozen=True)
class View:
    """Receivers as one edge sees them, arriving along its face on `side`.

    Only receivers to which the edge sends: `index` into all receivers; `z`, `rho` about the edge
    and `theta` from the face; `share` is one half where the leg grazes the face's plane beyond
    the face, else one. A receiver in the plane of a thin plate beyond it is there twice, as the
    limit from either side.
    """

    index: np.ndarray
    z: np.ndarray
    rho: np.ndarray
    theta: np.ndarray
    share: np.ndarray


def view_from_edge(
    body: Body, edges: EdgeTable, edge: int, side: int, receivers: np.ndarray
) -> View:
    """See `receivers` (receiver, 3) from an edge, angles counted from its face on `side`."""
    offset = receivers - edges.origin[edge]
    z = offset @ edges.along[edge]
    theta, rho = _angle(edges, edge, side, offset)
    far, _ = _angle(edges, edge, 1 - side, offset)
    wedge = edges.wedge[edge]
    # In the plane of the other face the angle is exact when counted from there.
    theta = np.where(far == 0.0, wedge, theta)
    heights = body.heights_above_faces(receivers)
    grazing = np.zeros(receivers.shape[0], dtype=bool)
    for this_side in (0, 1):
        face = edges.faces[edge, this_side]
        angle = theta if this_side == side else wedge - theta
        others = np.delete(heights, face, axis=1)
        grazing |= (angle == 0.0) & (others.max(axis=1) > 0.0)
    index = np.flatnonzero(theta <= wedge)
    if wedge == THIN:
        # In the plane of a plate, across it: over its front (θ = 0) and round its back (2π). On
        # the plate itself a receiver is taken to be on its front, the body's first face.
        across = (far == 0.0) & (theta == wedge)
        front = across & on_face(body, 0, receivers)
        across &= ~front
        theta[front] = 0.0 if edges.faces[edge, side] == 0 else wedge
        theta = np.concatenate([theta[index], np.zeros(np.count_nonzero(across))])
        index = np.concatenate([index, np.flatnonzero(across)])
        grazing |= across
    else:
        theta = theta[index]
    return View(
        index=index,
        z=z[index],
        rho=np.maximum(rho[index], 1e-12),
        theta=theta,
        share=np.where(grazing[index], 0.5, 1.0),
    )


def _angle(
    edges: EdgeTable, edge: int, side: int, offset: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Angle from a face about an edge, in [0, 2π), snapped in the face's plane; and distance."""
    inward = offset @ edges.tangent[edge, side]
    upward = offset @ edges.normal[edge, side]
    # The same snap as for the direct sound: then arctan2 is exactly 0 or π in the face's plane.
    upward[np.abs(upward) < PLANE_TOLERANCE] = 0.0
    angle = np.arctan2(upward, inward)
    return np.where(angle < 0.0, angle + 2.0 * np.pi, angle), np.hypot(inward, upward)


@dataclass(frozen=True)
class Emitters:
    """Nodes that send over one panel, and what they send by; q counts points on the panel.

    Nothing here depends on frequency.
    """

    nodes: np.ndarray
    sides: np.ndarray
    z: np.ndarray
    """(q,), m along the panel's edge"""
    value: np.ndarray
    """(q, node, direction)"""
    distance: np.ndarray
    """(q, node), m"""
    weights: np.ndarray
    """(q, receiver, node)"""


@dataclass(frozen=True)
class Leg:
    """One (panel, side) as the last stop before the receivers.

    `plain` emitters send to the panel's own points; each of `near` is so near that it needs a
    rule of its own.
    """

    view: View
    factor: np.ndarray
    """(receiver,): −ν/4π, halved where the leg grazes"""
    plain: Emitters
    near: tuple[Emitters, ...]


def panel_weights(
    grid: Grid,
    panel: int,
    foot: np.ndarray,
    rho: np.ndarray,
    view: View,
    slants: np.ndarray | None = None,
) -> np.ndarray:
    """Weights (q, receiver, emitter) of the legs emitter → panel's own points → receiver.

    With the correction for zone boundaries where `slants` of the emitters are given.
    """
    edge = grid.edge[panel]
    nodes = grid.nodes_of_panel(panel)
    rule = gauss_rule(int(grid.count[panel]))
    half = 0.5 * grid.length[panel]
    out = np.empty((nodes.size, view.z.size, foot.size))
    kernels.leg_weights(
        foot,
        rho,
        np.empty((0, 5)) if slants is None else slants,
        grid.node_z[nodes],
        np.full(nodes.size, half),
        rule.x,
        rule.w,
        rule.bary,
        grid.start[panel],
        2.0 * half,
        0.0,
        False,
        grid.edges.nu[edge],
        grid.edges.wedge[edge],
        view.z,
        view.rho,
        view.theta,
        slants is not None,
        out,
    )
    return out


def _slants(grid: Grid, panel: int, nodes: np.ndarray) -> np.ndarray:
    """How the edges of emitting nodes lie to a panel's edge, (node, 5); see kernels.fading."""
    edges = grid.edges
    own, edge = grid.node_edge[nodes], grid.edge[panel]
    along, target = edges.along[own], edges.along[edge]
    between = edges.origin[edge] - grid.node_position[nodes]
    ahead = np.einsum("ni,ni->n", between, along)
    cosine = along @ target
    cross = np.cross(along, target)
    square = np.einsum("ni,ni->n", cross, cross)
    parallel = square < PARALLEL**2
    square[parallel] = 1.0
    meet = np.einsum("ni,ni->n", np.cross(along, between), cross) / -square
    sine = np.where(parallel, 0.0, np.sqrt(square))
    return np.stack([edges.nu[own], ahead, cosine, meet, sine], axis=1)


def plan_legs(
    body: Body, grid: Grid, receivers: np.ndarray, wavenumber: float, resolution: Resolution
) -> Iterator[Leg]:
    """Every last leg of the higher orders, one at a time: they are large.

    Args:
        body: the body.
        grid: its edge points.
        receivers: (receiver, 3), m.
        wavenumber: the highest, rad/m.
        resolution: fineness of the rules.
    """
    for face in range(len(body.faces)):
        entries = grid.panels_of_face(face)
        for panel, side in entries:
            edge = int(grid.edge[panel])
            view = view_from_edge(body, grid.edges, edge, side, receivers)
            if view.index.size == 0:
                continue
            others = [(p, s) for p, s in entries if grid.edge[p] != edge]
            nodes = np.concatenate([grid.nodes_of_panel(p) for p, _ in others])
            sides = np.concatenate([np.full(grid.count[p], s) for p, s in others])
            foot, rho = feet_on_edge(grid.edges, edge, grid.node_position[nodes])
            plain = np.empty(nodes.size, dtype=bool)
            wedges = grid.edges.wedge[grid.node_edge[nodes]]
            kernels.plain_ones(
                np.minimum(wedges, grid.edges.wedge[edge]) - np.pi,
                foot,
                rho,
                grid.start[panel],
                grid.length[panel],
                grid.count[panel],
                resolution.tolerance**LEG_DIGITS,
                plain,
            )
            yield Leg(
                view=view,
                factor=_factor(grid, edge, view),
                plain=_plain_emitters(
                    grid, panel, view, nodes[plain], sides[plain], foot[plain], rho[plain],
                    resolution,
                ),
                near=tuple(
                    _near_emitter(
                        grid, panel, view, nodes[[i]], sides[[i]], foot[[i]], rho[[i]],
                        wavenumber, resolution,
                    )
                    for i in np.flatnonzero(~plain)
                ),
            )  # fmt: skip


def _factor(grid: Grid, edge: int, view: View) -> np.ndarray:
    return -grid.edges.nu[edge] / (4.0 * np.pi) * view.share


def _plain_emitters(
    grid: Grid,
    panel: int,
    view: View,
    nodes: np.ndarray,
    sides: np.ndarray,
    foot: np.ndarray,
    rho: np.ndarray,
    resolution: Resolution,
) -> Emitters:
    own = grid.nodes_of_panel(panel)
    value = np.empty((own.size, nodes.size, resolution.directions))
    distance = np.empty((own.size, nodes.size))
    basis = gauss_rule(resolution.directions)
    kernels.emission(nodes, grid, basis, grid.node_position[own], value, distance)
    weights = panel_weights(grid, panel, foot, rho, view, _slants(grid, panel, nodes))
    return Emitters(nodes, sides, grid.node_z[own], value, distance, weights)


def _near_emitter(
    grid: Grid,
    panel: int,
    view: View,
    node: np.ndarray,
    side: np.ndarray,
    foot: np.ndarray,
    rho: np.ndarray,
    wavenumber: float,
    resolution: Resolution,
) -> Emitters:
    wedges = grid.edges.wedge[[grid.node_edge[node[0]], grid.edge[panel]]]
    widest = kernels.near_step(float(wedges.min()) - np.pi, resolution.tolerance**LEG_DIGITS)
    breaks = kernels.near_breaks(
        foot[0], rho[0], grid.start[panel], grid.length[panel], wavenumber, widest
    )
    points = (breaks.size - 1) * kernels.NEAR_POINTS
    emitters = Emitters(
        nodes=node,
        sides=side,
        z=np.empty(points),
        value=np.empty((points, 1, resolution.directions)),
        distance=np.empty((points, 1)),
        weights=np.empty((points, view.z.size, 1)),
    )
    kernels.near_leg(
        grid,
        int(node[0]),
        panel,
        breaks,
        foot,
        rho,
        _slants(grid, panel, node),
        gauss_rule(kernels.NEAR_POINTS),
        gauss_rule(resolution.directions),
        view.z,
        view.rho,
        view.theta,
        emitters.z,
        emitters.value,
        emitters.distance,
        emitters.weights,
    )
    return emitters


def radiate_edges(
    grid: Grid, leg: Leg, leaving: np.ndarray, wavenumber: np.ndarray, pressure: np.ndarray
) -> None:
    """Add one leg of the higher orders to `pressure` (receiver, 2, column).

    `leaving` is (side, node, direction, 2, column); the columns repeat the frequencies of
    `wavenumber` for every source.
    """
    half_turns = wavenumber / np.pi
    view = leg.view
    for emitters in (leg.plain, *leg.near):
        sent = np.empty((*emitters.distance.shape, 2, leaving.shape[-1]))
        kernels.emit(
            emitters.nodes,
            emitters.sides,
            leaving,
            grid.node_weight,
            emitters.value,
            emitters.distance,
            half_turns,
            sent,
        )
        if emitters is leg.plain:
            radiate(emitters.weights, sent, emitters.z, view, leg.factor, half_turns, pressure)
        else:
            kernels.radiate_near(
                sent,
                emitters.weights,
                emitters.z,
                view.z,
                view.rho,
                leg.factor,
                half_turns,
                view.index,
                pressure,
            )


def radiate_first_order(
    body: Body,
    grid: Grid,
    source: Source,
    light: Light,
    receivers: np.ndarray,
    wavenumber: np.ndarray,
    pressure: np.ndarray,
) -> None:
    """Add what the edges of the source's face send on at once to `pressure` (receiver, 2, f)."""
    for panel, side in grid.panels_of_face(source.face):
        view = view_from_edge(body, grid.edges, int(grid.edge[panel]), side, receivers)
        if view.index.size:
            radiate_once(grid, panel, view, light, wavenumber, pressure)


def radiate_once(
    grid: Grid,
    panel: int,
    view: View,
    light: Light,
    wavenumber: np.ndarray,
    pressure: np.ndarray,
) -> None:
    """Add the first order of one panel to `pressure` (receiver, 2, frequency).

    Exact on both sides of a zone boundary and on it, where the direct sound counts half.
    """
    half_turns = wavenumber / np.pi
    edge = int(grid.edge[panel])
    foot, rho = feet_on_edge(grid.edges, edge, light.points)
    nodes = grid.nodes_of_panel(panel)
    sent = np.empty((nodes.size, foot.size, 2, wavenumber.size))
    kernels.emit_from_points(*light, grid.node_position[nodes], half_turns, sent)
    weights = panel_weights(grid, panel, foot, rho, view)
    factor = _factor(grid, edge, view)
    radiate(weights, sent, grid.node_z[nodes], view, factor, half_turns, pressure)
    rule = gauss_rule(int(grid.count[panel]))
    kernels.boundary_waves(
        foot,
        rho,
        grid.start[panel],
        grid.length[panel],
        rule.x,
        rule.w,
        grid.edges.wedge[edge],
        view.z,
        view.rho,
        view.theta,
        view.share,
        light.weights,
        light.depths,
        half_turns,
        view.index,
        pressure,
    )


def radiate(
    weights: np.ndarray,
    sent: np.ndarray,
    z: np.ndarray,
    view: View,
    factor: np.ndarray,
    half_turns: np.ndarray,
    pressure: np.ndarray,
) -> None:
    """Sum emitters into edge points, and edge points into receivers."""
    columns = sent.shape[-1]
    flat = sent.reshape(sent.shape[0], sent.shape[1], 2 * columns)
    strength = np.matmul(weights, flat).reshape(sent.shape[0], view.z.size, 2, columns)
    kernels.radiate(strength, z, view.z, view.rho, factor, half_turns, view.index, pressure)
