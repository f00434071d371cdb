"""First-order diffraction: from a source by one edge to the receivers."""

from __future__ import annotations

import numpy as np

from acoustics.cabinet import Body
from acoustics.field import kernels
from acoustics.field.grid import Grid, feet_on_edge
from acoustics.field.legs import leg_factor, panel_weights
from acoustics.field.penumbra import NOTHING, basis_shares, behind_faces, join_views, view_behind
from acoustics.field.piston import Light, Source
from acoustics.field.quadrature import gauss_rule
from acoustics.field.views import View, view_from_edge


def radiate_first_order(
    body: Body,
    grid: Grid,
    source: Source,
    light: Light,
    receivers: np.ndarray,
    wavenumber: np.ndarray,
    real: type[np.floating],
    directions: int,
    pressure: np.ndarray,
) -> None:
    """Add what the edges of the source's face send on at once to `pressure` (receiver, 2, f)."""
    edges = grid.edges
    near = behind_faces(body, edges, receivers)
    views: dict[int, tuple[View, View]] = {}
    for panel, side in grid.panels_of_face(source.face):
        edge = int(grid.edge[panel])
        if edge not in views:
            view = view_from_edge(body, edges, edge, side, receivers)
            views[edge] = view, view_behind(edges, edge, side, receivers, view, near)
        view, behind = views[edge]
        if view.z.size + behind.z.size:
            radiate_once(grid, panel, view, light, wavenumber, real, pressure, behind, directions)


def radiate_once(
    grid: Grid,
    panel: int,
    view: View,
    light: Light,
    wavenumber: np.ndarray,
    real: type[np.floating],
    pressure: np.ndarray,
    behind: View = NOTHING,
    directions: int = 0,
) -> None:
    """Add the first order of one panel to `pressure` (receiver, 2, frequency).

    Exact on both sides of a zone boundary and on it, where the direct sound counts half.
    Of receivers `behind` a face (`penumbra.view_behind`), what a basis of so many `directions`
    tells of it is taken back.
    """
    half_turns = wavenumber / np.pi
    edge = int(grid.edge[panel])
    foot, rho = feet_on_edge(grid.edges, edge, light.points)
    nodes = grid.nodes_of_panel(panel)
    sent = np.empty((nodes.size, foot.size, 2, wavenumber.size), dtype=real)
    kernels.emit_from_points(*light, grid.node_position[nodes], half_turns, sent)
    whole = join_views(view, behind) if behind.z.size else view
    weights = np.empty((nodes.size, whole.z.size, foot.size), dtype=real)
    panel_weights(grid, panel, foot, rho, whole, weights)
    if behind.z.size:
        weights[:, view.z.size :] -= _by_basis(grid, panel, foot, rho, behind, directions)
    factor = leg_factor(grid, edge, whole)
    flat = sent.reshape(nodes.size, foot.size, -1)
    arrived = np.matmul(weights, flat).reshape(nodes.size, whole.z.size, 2, -1)
    kernels.radiate(
        arrived, grid.node_z[nodes], whole.z, whole.rho, factor, half_turns, whole.index, pressure
    )
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


def _by_basis(
    grid: Grid, panel: int, foot: np.ndarray, rho: np.ndarray, behind: View, directions: int
) -> np.ndarray:
    """`panel_weights` of receivers in planes of the edge's faces, told by the basis of directions.

    (q, receiver, point).
    """
    edge, nodes = int(grid.edge[panel]), grid.nodes_of_panel(panel)
    nu, z = grid.edges.nu[edge], grid.node_z[nodes]
    ts = np.empty((nodes.size, foot.size))
    kernels.turns_along(foot, rho, z, nu, ts)
    shares = basis_shares(behind.z - z[:, None], behind.rho, nu, directions)
    out = np.empty((nodes.size, behind.z.size, foot.size))
    # Where x = tanh(νa/2) are the basis' nodes.
    along = np.sinh(2.0 * np.arctanh(gauss_rule(directions).x) / nu)
    for theta in (0.0, grid.edges.wedge[edge]):
        here = behind.theta == theta
        if not here.any():
            continue
        sent = np.empty((nodes.size, directions, foot.size))
        kernels.plain_legs(
            ts, np.zeros(nodes.size), grid.node_weight[nodes], nu, along, np.ones(directions),
            np.full(directions, theta), sent,
        )  # fmt: skip
        out[:, here] = np.matmul(shares[:, here], sent)
    return out
