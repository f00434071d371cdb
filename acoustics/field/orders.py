"""All orders: what leaves the edges once sound has run between them to and fro.

U = U₀ + K·U, K one passage along the faces from edge to edge (Asheim & Svensson 2013, in a basis of
directions), is solved by sweeps over the edges, from the front to the rear and back in turn. An
edge takes what all others send as they stand then, so that one sweep carries a wave over all the
edges in its way: block Gauss-Seidel, alternating (Saad, Iterative Methods for Sparse Linear
Systems, 2003, ch. 4). Passages of all edges at once would need one for every edge in the way, of
which a round has several.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from acoustics.field import kernels
from acoustics.field.grid import Grid
from acoustics.field.piston import Light, Source
from acoustics.field.quadrature import gauss_rule
from acoustics.field.resolution import Resolution
from acoustics.field.sights import Sight

MOST_SWEEPS = 60

SAME_PLACE = 1e-9
"""m: edges whose middles differ by less, or lie as mirror images do, are swept together"""

Sweep = Callable[[list[list[int]]], np.ndarray]
"""One sweep over groups of edges; returns the squared size of what it changed, (column,)."""


class Passed(NamedTuple):
    """What leaves the edges, and what the end of the sweeps leaves in doubt."""

    strength: np.ndarray
    tail: np.ndarray
    """(column,): size of what further sweeps would change, over that of the first order"""


def light_edges(
    grid: Grid, source: Source, light: Light, wavenumber: np.ndarray, resolution: Resolution
) -> np.ndarray:
    """What leaves every edge point for the source's sound alone: (side, node, direction, 2, f)."""
    basis = gauss_rule(resolution.directions)
    leaving = np.zeros(
        (2, grid.nodes, resolution.directions, 2, wavenumber.size), dtype=resolution.real
    )
    panels = grid.panels_of_face(source.face)
    nodes = np.concatenate([grid.nodes_of_panel(panel) for panel, _ in panels])
    sides = np.concatenate([np.full(grid.count[panel], side) for panel, side in panels])
    kernels.light_edges(*light, nodes, sides, grid, basis.x, wavenumber / np.pi, leaving)
    return leaving


def all_orders(
    grid: Grid,
    sights: list[Sight],
    phases: list[np.ndarray],
    first: np.ndarray,
    resolution: Resolution,
    checkpoint: Callable[[], None],
) -> Passed:
    """Strength with which every edge point sends along its faces: U = U₀ + K·U.

    Args:
        grid: the edge points.
        sights: what they see of each other.
        phases: of every sight.
        first: U₀, (side, node, direction, 2, column); the columns are sources × frequencies.
        resolution: when to stop.
        checkpoint: called before every sweep.

    Returns:
        `strength` like `first`, and its `tail`.

    Raises:
        ArithmeticError: the sweeps do not settle.
    """
    seen = _by_edge(sights, phases)
    strength = first.copy()

    def sweep(groups: list[list[int]]) -> np.ndarray:
        power = np.zeros(first.shape[-1])
        for edges in groups:
            parts = [grid.nodes_of_edge(edge) for edge in edges]
            renewed = [first[:, nodes].copy() for nodes in parts]
            for edge, new in zip(edges, renewed, strict=True):
                for sight, phase in seen[edge]:
                    arrive(sight, phase, strength, new)
            for nodes, new in zip(parts, renewed, strict=True):
                kernels.replace(grid.node_weight, nodes.start, new, strength, power)
        return power

    tail = _settle(grid, list(seen), first, sweep, resolution, checkpoint)
    return Passed(strength, tail)


def all_asked(
    grid: Grid,
    sights: list[Sight],
    phases: list[np.ndarray],
    first: np.ndarray,
    resolution: Resolution,
    checkpoint: Callable[[], None],
) -> Passed:
    """`all_orders` transposed: what receivers ask of the edges, Y = Y₀ + Kᵀ·Y.

    The same tables, backwards: an edge does not take what it is asked for but hands it on, and what
    is still to be handed on is kept. Arguments, returns and errors as there; `first` is Y₀.
    """
    seen = _by_edge(sights, phases)
    total, waiting = np.zeros_like(first), first.copy()

    def sweep(groups: list[list[int]]) -> np.ndarray:
        power = np.zeros(first.shape[-1])
        for edges in groups:
            taken = []
            for edge in edges:
                nodes = grid.nodes_of_edge(edge)
                asked = waiting[:, nodes].copy()
                waiting[:, nodes] = 0.0
                total[:, nodes] += asked
                kernels.power(grid.node_weight[nodes], asked, power)
                taken.append(asked)
            for edge, asked in zip(edges, taken, strict=True):
                for sight, phase in seen[edge]:
                    ask(sight, phase, asked, waiting)
        return power

    tail = _settle(grid, list(seen), first, sweep, resolution, checkpoint)
    return Passed(total + waiting, tail)


def _by_edge(
    sights: list[Sight], phases: list[np.ndarray]
) -> dict[int, list[tuple[Sight, np.ndarray]]]:
    seen: dict[int, list[tuple[Sight, np.ndarray]]] = {}
    for sight, phase in zip(sights, phases, strict=True):
        seen.setdefault(sight.edge, []).append((sight, phase))
    return seen


def _settle(
    grid: Grid,
    edges: list[int],
    first: np.ndarray,
    sweep: Sweep,
    resolution: Resolution,
    checkpoint: Callable[[], None],
) -> np.ndarray:
    """Sweep to and fro until little is left; returns how much, relative to `first`, (column,)."""
    forth = front_to_rear(grid, edges)
    scale = np.zeros(first.shape[-1])
    kernels.power(grid.node_weight, first, scale)
    scale[scale == 0.0] = 1.0
    changes = [np.ones_like(scale)] * 3
    for number in range(MOST_SWEEPS):
        checkpoint()
        power = sweep(forth if number % 2 == 0 else forth[::-1])
        changes.append(np.sqrt(power / scale))
        left = still_to_come(changes)
        if np.all(left <= resolution.update):
            return left
    raise ArithmeticError(f"the sound between the edges does not settle in {MOST_SWEEPS} sweeps")


def front_to_rear(grid: Grid, edges: list[int]) -> list[list[int]]:
    """Edges by where their middles are: front to rear, then from the body's middle outwards.

    Those that lie alike, as an edge and its mirror image do, are swept together, so that what is
    symmetric stays so.
    """
    table = grid.edges
    middle = table.origin[edges] + 0.5 * table.length[edges, None] * table.along[edges]
    centre = 0.5 * (middle.max(axis=0) + middle.min(axis=0))
    aside = np.abs(middle - centre)
    keys = np.round(np.stack([-middle[:, 2], aside[:, 0], aside[:, 1]], axis=1) / SAME_PLACE)
    _, group = np.unique(keys, axis=0, return_inverse=True)
    return [
        [edge for edge, own in zip(edges, group.ravel(), strict=True) if own == number]
        for number in range(group.max() + 1)
    ]


def still_to_come(changes: list[np.ndarray]) -> np.ndarray:
    """About how much the sweeps after the last would change, from what each has changed.

    Sweeps forth serve what runs to the rear, sweeps back what returns: each kind is taken to go
    on as a geometric series of its own, of which the next term is told by the last two.
    """
    left = np.zeros_like(changes[0])
    for before, last in zip(changes[-4:-2], changes[-2:], strict=True):
        left += np.divide(last**2, before, out=np.zeros_like(last), where=before > 0.0)
    return left


def arrive(sight: Sight, phase: np.ndarray, strength: np.ndarray, added: np.ndarray) -> None:
    """Add to what leaves an edge what reaches it by one sight.

    strength (side, node, direction, 2, column); added likewise, of the edge's nodes alone.
    """
    directions, columns = strength.shape[2], strength.shape[4]
    sent = send(sight, phase, strength_of(sight, strength))
    taken = np.matmul(sight.take, sent.swapaxes(0, 1))
    added += taken.reshape(-1, 2, directions, 2, columns).swapaxes(0, 1)


def ask(sight: Sight, phase: np.ndarray, asked: np.ndarray, added: np.ndarray) -> None:
    """`arrive` transposed: add what an edge, asked, asks of those it sees by one sight.

    asked (side, node of the edge, direction, 2, column); added likewise, of all nodes.
    """
    directions, columns = asked.shape[2], asked.shape[4]
    flat = np.ascontiguousarray(asked.swapaxes(0, 1)).reshape(-1, 2 * directions, 2 * columns)
    back = np.matmul(sight.take.swapaxes(1, 2), flat).swapaxes(0, 1)
    back = np.ascontiguousarray(back)
    kernels.turn_rows(back.reshape(-1, 2, columns), phase)
    strength = np.matmul(sight.give.swapaxes(1, 2), back)
    to_the_nodes(sight, strength.reshape(-1, directions, 2, columns), added)


def strength_of(sight: Sight, leaving: np.ndarray) -> np.ndarray:
    """Strength of the sources of a sight, (source, direction, 2, column)."""
    strength = np.empty((sight.sources.z.size, *leaving.shape[2:]), dtype=leaving.dtype)
    for run in sight.runs:
        nodes = leaving[run.side, run.nodes]
        if run.spread is None:
            strength[run.points] = nodes
        else:
            spread = run.spread @ nodes.reshape(nodes.shape[0], -1)
            strength[run.points] = spread.reshape(-1, *nodes.shape[1:])
    return strength


def to_the_nodes(sight: Sight, strength: np.ndarray, added: np.ndarray) -> None:
    """`strength_of` transposed: add to nodes what belongs to the sources of a sight."""
    for run in sight.runs:
        part = strength[run.points]
        if run.spread is not None:
            spread = run.spread.T @ part.reshape(part.shape[0], -1)
            part = spread.reshape(-1, *part.shape[1:])
        added[run.side, run.nodes] += part


def send(sight: Sight, phase: np.ndarray, strength: np.ndarray) -> np.ndarray:
    """What the sources of a sight, or the first of them, send to its targets.

    (source, target, 2 × column).
    """
    sources, directions, _, columns = strength.shape
    flat = strength.reshape(sources, directions, 2 * columns)
    sent: np.ndarray = np.matmul(sight.give[:sources], flat)
    kernels.turn_rows(sent.reshape(-1, 2, columns), phase)
    return sent
