"""All orders: what leaves the edges once sound has run between them to and fro."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from acoustics.field import kernels
from acoustics.field.grid import Grid, Links
from acoustics.field.piston import Light, Source
from acoustics.field.quadrature import gauss_rule
from acoustics.field.resolution import Resolution

MOST_PASSAGES = 60


def light_edges(
    grid: Grid,
    source: Source,
    light: Light,
    wavenumber: np.ndarray,
    resolution: Resolution,
) -> np.ndarray:
    """What leaves every edge point for the source's sound alone: (node, side, direction, 2, f)."""
    basis = gauss_rule(resolution.directions)
    leaving = np.zeros((grid.nodes, 2, basis.x.size, 2, wavenumber.size))
    panels = grid.panels_of_face(source.face)
    edges = grid.edges
    kernels.light_edges(
        light.points,
        light.weights,
        np.concatenate([grid.nodes_of_panel(panel) for panel, _ in panels]),
        np.concatenate([np.full(grid.count[panel], side) for panel, side in panels]),
        grid.node_position,
        grid.node_z,
        grid.node_edge,
        edges.origin,
        edges.along,
        edges.nu,
        wavenumber / np.pi,
        basis.x,
        leaving,
    )
    return leaving


def all_orders(
    grid: Grid,
    links: Links,
    first: np.ndarray,
    wavenumber: np.ndarray,
    resolution: Resolution,
    checkpoint: Callable[[], None],
) -> np.ndarray:
    """Strength with which every edge point sends along its faces, all orders together.

    Solves U = U₀ + K·U by repeated passage, K one passage along the faces (Asheim & Svensson
    2013, in a basis of directions). What is left after the last passage is added as a geometric
    series.

    Args:
        grid: the edge points.
        links: their sight lines.
        first: U₀, (node, side, direction, 2, column); the columns are sources × frequencies.
        wavenumber: (frequency,), rad/m.
        resolution: when to stop.
        checkpoint: called before every passage.

    Returns:
        like `first`.
    """
    total = first.copy()
    scale = _power(first)
    last = first
    for _ in range(MOST_PASSAGES):
        checkpoint()
        previous, last = last, np.empty_like(first)
        kernels.carry(
            previous,
            wavenumber / np.pi,
            grid.first,
            grid.count,
            links.first,
            links.panel,
            links.side,
            links.point,
            links.distance,
            links.weight,
            links.arriving,
            links.leaving,
            links.spread,
            last,
        )
        total += last
        if np.all(_power(last) <= resolution.update**2 * scale):
            break
    return total + _rest_of_series(previous, last)


def _power(strength: np.ndarray) -> np.ndarray:
    """Sum of squares per column."""
    return np.einsum("nsdrc,nsdrc->c", strength, strength)


def _rest_of_series(previous: np.ndarray, last: np.ndarray) -> np.ndarray:
    """The terms after `last` if each is the same complex multiple of the one before."""
    before = previous[..., 0, :] + 1j * previous[..., 1, :]
    after = last[..., 0, :] + 1j * last[..., 1, :]
    norm = np.einsum("nsdc,nsdc->c", before.conj(), before).real
    ratio = np.einsum("nsdc,nsdc->c", before.conj(), after) / np.where(norm > 0, norm, 1.0)
    ratio = np.where(np.abs(ratio) < 0.9, ratio, 0.0)
    rest = after * (ratio / (1.0 - ratio))
    return np.stack([rest.real, rest.imag], axis=-2)
