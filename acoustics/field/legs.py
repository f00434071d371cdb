"""The last leg: from edges to receivers, first order and all orders."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from acoustics.cabinet import Body
from acoustics.field import kernels
from acoustics.field.grid import EdgeTable, Grid, feet_on_edge
from acoustics.field.piston import Light, Source
from acoustics.field.quadrature import gauss_rule
from acoustics.field.resolution import Resolution

ANGLE_TOLERANCE = 1e-9


@dataclass(frozen=True)
class View:
    """Receivers as one edge sees them, arriving along its face on `side`.

    Only receivers to which the edge sends: `index` into all receivers; `z`, `rho` about the edge
    and `theta` from the face; `share` is one half where the leg grazes the face's plane beyond
    the face, else one.
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
    theta = np.where(np.abs(far) < ANGLE_TOLERANCE, wedge, theta)
    heights = body.heights_above_faces(receivers)
    grazing = np.zeros(receivers.shape[0], dtype=bool)
    for this_side in (0, 1):
        face = edges.faces[edge, this_side]
        angle = theta if this_side == side else wedge - theta
        others = np.delete(heights, face, axis=1)
        grazing |= (np.abs(angle) < ANGLE_TOLERANCE) & (others.max(axis=1) > 0.0)
    index = np.flatnonzero(theta <= wedge + ANGLE_TOLERANCE)
    return View(
        index=index,
        z=z[index],
        rho=np.maximum(rho[index], 1e-12),
        theta=theta[index],
        share=np.where(grazing[index], 0.5, 1.0),
    )


def _angle(
    edges: EdgeTable, edge: int, side: int, offset: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Angle from a face about an edge, in [0, 2π), snapped in the face's plane; and distance."""
    inward = offset @ edges.tangent[edge, side]
    upward = offset @ edges.normal[edge, side]
    upward[np.abs(upward) < 1e-9] = 0.0
    angle = np.arctan2(upward, inward)
    return np.where(angle < 0.0, angle + 2.0 * np.pi, angle), np.hypot(inward, upward)


@dataclass(frozen=True)
class Leg:
    """One (panel, side) as the last stop before the receivers, for one set of emitters.

    `weights` (q, receiver, emitter) are real and hold for every frequency of the grid.
    """

    panel: int
    side: int
    view: View
    weights: np.ndarray
    plain: np.ndarray
    """nodes that send to the panel's own points"""
    plain_side: np.ndarray
    near: np.ndarray
    """nodes so near that each needs a rule of its own"""
    near_side: np.ndarray


def panel_weights(
    grid: Grid, panel: int, foot: np.ndarray, rho: np.ndarray, view: View, *, with_poles: bool
) -> np.ndarray:
    """Weights (q, receiver, emitter) of the legs emitter → panel's own points → receiver."""
    edge = grid.edge[panel]
    nodes = grid.nodes_of_panel(panel)
    rule = gauss_rule(int(grid.count[panel]))
    half = 0.5 * grid.length[panel]
    out = np.empty((nodes.size, view.z.size, foot.size))
    kernels.leg_weights(
        foot,
        rho,
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
        with_poles,
        out,
    )
    return out


def plan_legs(
    body: Body, grid: Grid, receivers: np.ndarray, resolution: Resolution
) -> Iterator[Leg]:
    """Every last leg of the higher orders: which nodes send over which panel to whom."""
    views = {
        (edge, side): view_from_edge(body, grid.edges, edge, side, receivers)
        for edge in range(grid.edges.length.size)
        for side in (0, 1)
    }
    for face in range(len(body.faces)):
        entries = grid.panels_of_face(face)
        for panel, side in entries:
            edge = int(grid.edge[panel])
            view = views[edge, side]
            if view.index.size == 0:
                continue
            others = [(p, s) for p, s in entries if grid.edge[p] != edge]
            nodes = np.concatenate([grid.nodes_of_panel(p) for p, _ in others])
            sides = np.concatenate([np.full(grid.count[p], s) for p, s in others])
            foot, rho = feet_on_edge(grid.edges, edge, grid.node_position[nodes])
            plain = np.array(
                [
                    kernels.is_plain(
                        f,
                        d,
                        grid.start[panel],
                        grid.length[panel],
                        grid.count[panel],
                        resolution.tolerance,
                    )
                    for f, d in zip(foot, rho, strict=True)
                ]
            )
            yield Leg(
                panel=panel,
                side=side,
                view=view,
                weights=panel_weights(grid, panel, foot[plain], rho[plain], view, with_poles=True),
                plain=nodes[plain],
                plain_side=sides[plain],
                near=nodes[~plain],
                near_side=sides[~plain],
            )


def radiate_edges(
    grid: Grid,
    leg: Leg,
    leaving: np.ndarray,
    wavenumber: np.ndarray,
    resolution: Resolution,
    pressure: np.ndarray,
) -> None:
    """Add one leg of the higher orders to `pressure` (receiver, 2, column).

    `leaving` is (node, side, direction, 2, column); the columns repeat the frequencies of
    `wavenumber` for every source.
    """
    basis = gauss_rule(resolution.directions)
    near = gauss_rule(kernels.NEAR_POINTS)
    edges, view = grid.edges, leg.view
    edge = grid.edge[leg.panel]
    half_turns = wavenumber / np.pi
    nodes = grid.nodes_of_panel(leg.panel)
    factor = -edges.nu[edge] / (4.0 * np.pi) * view.share
    sent = np.empty((nodes.size, leg.plain.size, 2, leaving.shape[-1]))
    kernels.emit_along_face(
        leg.plain,
        leg.plain_side,
        leaving,
        grid.node_weight,
        grid.node_z,
        grid.node_edge,
        edges.origin,
        edges.along,
        edges.nu,
        grid.node_position[nodes],
        half_turns,
        basis.x,
        basis.bary,
        sent,
    )
    radiate(grid, leg.panel, leg.weights, sent, view, factor, half_turns, pressure)
    for node, side in zip(leg.near, leg.near_side, strict=True):
        own = grid.node_edge[node]
        foot, rho = feet_on_edge(edges, edge, grid.node_position[node][None, :])
        kernels.radiate_near(
            foot[0],
            rho[0],
            grid.start[leg.panel],
            grid.length[leg.panel],
            grid.ends[leg.panel],
            edges.corners[own],
            edges.origin[edge],
            edges.along[edge],
            float(wavenumber.max()),
            near.x,
            near.w,
            near.bary,
            edges.nu[edge],
            edges.wedge[edge],
            view.z,
            view.rho,
            view.theta,
            factor,
            view.index,
            grid.node_z[node],
            grid.node_position[node],
            edges.origin[own],
            edges.along[own],
            edges.nu[own],
            grid.node_weight[node],
            leaving[node, side],
            half_turns,
            basis.x,
            basis.bary,
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
    kernels.emit_from_points(
        light.points, light.weights, grid.node_position[nodes], half_turns, sent
    )
    factor = -grid.edges.nu[edge] / (4.0 * np.pi) * view.share
    weights = panel_weights(grid, panel, foot, rho, view, with_poles=False)
    radiate(grid, panel, weights, sent, view, factor, half_turns, pressure)
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
        half_turns,
        view.index,
        pressure,
    )


def radiate(
    grid: Grid,
    panel: int,
    weights: np.ndarray,
    sent: np.ndarray,
    view: View,
    factor: np.ndarray,
    half_turns: np.ndarray,
    pressure: np.ndarray,
) -> None:
    """Sum emitters into edge points, and edge points into receivers."""
    columns = sent.shape[-1]
    flat = sent.reshape(sent.shape[0], sent.shape[1], 2 * columns)
    strength = np.matmul(weights, flat).reshape(sent.shape[0], view.z.size, 2, columns)
    nodes = grid.nodes_of_panel(panel)
    kernels.radiate(
        strength, grid.node_z[nodes], view.z, view.rho, factor, half_turns, view.index, pressure
    )
