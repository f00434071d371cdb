"""First-order diffraction: from a source by one edge to the receivers."""

from __future__ import annotations

import numpy as np

from acoustics.cabinet import Body
from acoustics.field import kernels
from acoustics.field.grid import Grid, feet_on_edge
from acoustics.field.legs import leg_factor, panel_weights
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
    pressure: np.ndarray,
) -> None:
    """Add what the edges of the source's face send on at once to `pressure` (receiver, 2, f)."""
    for panel, side in grid.panels_of_face(source.face):
        view = view_from_edge(body, grid.edges, int(grid.edge[panel]), side, receivers)
        if view.index.size:
            radiate_once(grid, panel, view, light, wavenumber, real, pressure)


def radiate_once(
    grid: Grid,
    panel: int,
    view: View,
    light: Light,
    wavenumber: np.ndarray,
    real: type[np.floating],
    pressure: np.ndarray,
) -> None:
    """Add the first order of one panel to `pressure` (receiver, 2, frequency).

    Exact on both sides of a zone boundary and on it, where the direct sound counts half.
    """
    half_turns = wavenumber / np.pi
    edge = int(grid.edge[panel])
    foot, rho = feet_on_edge(grid.edges, edge, light.points)
    nodes = grid.nodes_of_panel(panel)
    sent = np.empty((nodes.size, foot.size, 2, wavenumber.size), dtype=real)
    kernels.emit_from_points(*light, grid.node_position[nodes], half_turns, sent)
    weights = np.empty((nodes.size, view.z.size, foot.size), dtype=real)
    panel_weights(grid, panel, foot, rho, view, weights)
    factor = leg_factor(grid, edge, view)
    flat = sent.reshape(nodes.size, foot.size, -1)
    arrived = np.matmul(weights, flat).reshape(nodes.size, view.z.size, 2, -1)
    kernels.radiate(
        arrived, grid.node_z[nodes], view.z, view.rho, factor, half_turns, view.index, pressure
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
