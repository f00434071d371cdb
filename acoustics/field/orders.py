"""All orders: what leaves the edges once sound has run between them to and fro."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from acoustics.field import kernels
from acoustics.field.grid import Grid, LinkList, LinkTable
from acoustics.field.piston import Light, Source
from acoustics.field.quadrature import gauss_rule
from acoustics.field.resolution import Resolution

MOST_PASSAGES = 60

MOST_KEPT = 0.9
"""share that a passage may leave of the one before for the rest to be trusted as a series"""


class Passed(NamedTuple):
    """What leaves the edges, and what the end of the passages leaves in doubt."""

    strength: np.ndarray
    tail: np.ndarray
    """(column,): size of what the geometric series misses, over that of the first order"""


def light_edges(
    grid: Grid, source: Source, light: Light, wavenumber: np.ndarray, resolution: Resolution
) -> np.ndarray:
    """What leaves every edge point for the source's sound alone: (side, node, direction, 2, f)."""
    basis = gauss_rule(resolution.directions)
    leaving = np.zeros((2, grid.nodes, resolution.directions, 2, wavenumber.size))
    panels = grid.panels_of_face(source.face)
    nodes = np.concatenate([grid.nodes_of_panel(panel) for panel, _ in panels])
    sides = np.concatenate([np.full(grid.count[panel], side) for panel, side in panels])
    kernels.light_edges(*light, nodes, sides, grid, basis.x, wavenumber / np.pi, leaving)
    return leaving


def all_orders(
    grid: Grid,
    links: tuple[LinkList, LinkTable],
    first: np.ndarray,
    wavenumber: np.ndarray,
    resolution: Resolution,
    checkpoint: Callable[[], None],
) -> Passed:
    """Strength with which every edge point sends along its faces, all orders together.

    Solves U = U₀ + K·U by repeated passage, K one passage along the faces (Asheim & Svensson
    2013, in a basis of directions). What is left after the last passage is added as a geometric
    series.

    Args:
        grid: the edge points.
        links: their sight lines.
        first: U₀, (side, node, direction, 2, column); the columns are sources × frequencies.
        wavenumber: (frequency,), rad/m.
        resolution: when to stop.
        checkpoint: called before every passage.

    Returns:
        `strength` like `first`, and its `tail`.

    Raises:
        ArithmeticError: the passages do not die out.
    """
    most_points = int(np.diff(links[0].point).max())
    total = first.copy()
    scale = _power(first, grid.node_weight)
    last = first
    for _ in range(MOST_PASSAGES):
        checkpoint()
        previous, last = last, np.empty_like(first)
        kernels.carry(previous, wavenumber / np.pi, grid, *links, most_points, last)
        total += last
        if np.all(_power(last, grid.node_weight) <= resolution.update**2 * scale):
            rest, missed = _rest_of_series(previous, last, grid.node_weight)
            return Passed(total + rest, missed / np.sqrt(np.where(scale > 0, scale, 1.0)))
    raise ArithmeticError(f"the sound between the edges does not die out in {MOST_PASSAGES} passes")


def _power(strength: np.ndarray, weight: np.ndarray) -> np.ndarray:
    """Integral of the squared strength along all edges, per column.

    Weighted by length, so that many small panels near a driver do not drown the rest.
    """
    return np.einsum("n,sndrc,sndrc->c", weight, strength, strength)


def _rest_of_series(
    previous: np.ndarray, last: np.ndarray, weight: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """The terms after `last` if each is the same complex multiple of the one before.

    And, per column, the size of what `last` has beside that multiple, summed likewise.
    """
    before = previous[..., 0, :] + 1j * previous[..., 1, :]
    after = last[..., 0, :] + 1j * last[..., 1, :]
    norm = np.einsum("n,sndc,sndc->c", weight, before.conj(), before).real
    ratio = np.einsum("n,sndc,sndc->c", weight, before.conj(), after)
    ratio = ratio / np.where(norm > 0, norm, 1.0)
    size = np.einsum("n,sndc,sndc->c", weight, after.conj(), after).real
    beside = np.sqrt(np.maximum(size - np.abs(ratio) ** 2 * norm, 0.0))
    missed = beside / (1.0 - np.minimum(np.abs(ratio), MOST_KEPT))
    ratio = np.where(np.abs(ratio) < MOST_KEPT, ratio, 0.0)
    rest = after * (ratio / (1.0 - ratio))
    return np.stack([rest.real, rest.imag], axis=-2), missed
