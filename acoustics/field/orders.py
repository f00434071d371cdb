"""All orders: what leaves the edges once sound has run between them to and fro."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from acoustics.field import kernels
from acoustics.field.grid import Grid
from acoustics.field.piston import Light, Source
from acoustics.field.quadrature import gauss_rule
from acoustics.field.resolution import Resolution
from acoustics.field.sights import Phases, Sight

MOST_PASSAGES = 60

MOST_KEPT = 0.9
"""share that a passage may leave of the one before for the rest to be trusted as a series"""


Passage = Callable[[list[Sight], list[Phases], np.ndarray], np.ndarray]


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
    leaving = np.zeros(
        (2, grid.nodes, resolution.directions, 2, wavenumber.size), dtype=resolution.real
    )
    panels = grid.panels_of_face(source.face)
    nodes = np.concatenate([grid.nodes_of_panel(panel) for panel, _ in panels])
    sides = np.concatenate([np.full(grid.count[panel], side) for panel, side in panels])
    kernels.light_edges(*light, nodes, sides, grid, basis.x, wavenumber / np.pi, leaving)
    return leaving


def pass_on(sights: list[Sight], phases: list[Phases], leaving: np.ndarray) -> np.ndarray:
    """One passage along the faces to all edges, and on from there: K·leaving."""
    added = np.zeros_like(leaving)
    directions, columns = leaving.shape[2], leaving.shape[4]
    for sight, phase in zip(sights, phases, strict=True):
        sent = send(sight, phase, strength_of(sight, leaving))
        taken = np.matmul(sight.take, sent.swapaxes(0, 1))
        sides = taken.reshape(taken.shape[0], 2, directions, 2, columns)
        added[:, sight.targets] += sides.swapaxes(0, 1)
        for near, turn in zip(sight.near, phase.near, strict=True):
            panel = leaving[near.side, near.panel].reshape(-1, 2 * columns)
            rows = (near.give @ panel).reshape(-1, 2, columns)
            kernels.turn_rows(rows, turn)
            kernels.scatter_rows(rows, near.take, near.targets, added)
    return added


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


def pass_back(sights: list[Sight], phases: list[Phases], heard: np.ndarray) -> np.ndarray:
    """One passage the other way, Kᵀ·heard: the same tables, in reverse order."""
    added = np.zeros_like(heard)
    _, _, directions, _, columns = heard.shape
    for sight, phase in zip(sights, phases, strict=True):
        targets = heard[:, sight.targets].swapaxes(0, 1)
        flat = np.ascontiguousarray(targets).reshape(-1, 2 * directions, 2 * columns)
        back = np.matmul(sight.take.swapaxes(1, 2), flat).swapaxes(0, 1)
        back = np.ascontiguousarray(back)
        kernels.turn_rows(back.reshape(-1, 2, columns), phase.plain)
        strength = np.matmul(sight.give.swapaxes(1, 2), back)
        to_the_nodes(sight, strength.reshape(-1, directions, 2, columns), added)
        for near, turn in zip(sight.near, phase.near, strict=True):
            rows = np.empty((near.targets.size, 2, columns), dtype=heard.dtype)
            kernels.gather_rows(heard, near.take, near.targets, rows)
            kernels.turn_rows(rows, turn)
            panel = near.give.T @ rows.reshape(-1, 2 * columns)
            added[near.side, near.panel] += panel.reshape(-1, directions, 2, columns)
    return added


def to_the_nodes(sight: Sight, strength: np.ndarray, added: np.ndarray) -> None:
    """`strength_of` transposed: add to nodes what belongs to the sources of a sight."""
    for run in sight.runs:
        part = strength[run.points]
        if run.spread is not None:
            spread = run.spread.T @ part.reshape(part.shape[0], -1)
            part = spread.reshape(-1, *part.shape[1:])
        added[run.side, run.nodes] += part


def send(sight: Sight, phase: Phases, strength: np.ndarray) -> np.ndarray:
    """What the sources of a sight send to its targets, (source, target, 2 × column)."""
    sources, directions, _, columns = strength.shape
    sent: np.ndarray = np.matmul(sight.give, strength.reshape(sources, directions, 2 * columns))
    kernels.turn_rows(sent.reshape(-1, 2, columns), phase.plain)
    return sent


def all_orders(
    grid: Grid,
    sights: list[Sight],
    phases: list[Phases],
    first: np.ndarray,
    resolution: Resolution,
    checkpoint: Callable[[], None],
    passage: Passage = pass_on,
) -> Passed:
    """Strength with which every edge point sends along its faces, all orders together.

    Solves U = U₀ + K·U by repeated passage, K one passage along the faces (Asheim & Svensson
    2013, in a basis of directions). What is left after the last passage is added as a geometric
    series.

    Args:
        grid: the edge points.
        sights: what they see of each other.
        phases: of every sight.
        first: U₀, (side, node, direction, 2, column); the columns are sources × frequencies.
        resolution: when to stop.
        checkpoint: called before every passage.
        passage: one passage, `pass_on` or, to solve the transposed equation, `pass_back`.

    Returns:
        `strength` like `first`, and its `tail`.

    Raises:
        ArithmeticError: the passages do not die out.
    """
    weight = grid.node_weight
    total = first.copy()
    scale = _product(weight, first, first).real
    last = first
    for _ in range(MOST_PASSAGES):
        checkpoint()
        previous, last = last, passage(sights, phases, last)
        total += last
        power = _product(weight, last, last).real
        if np.all(power <= resolution.update**2 * scale):
            rest, missed = _rest_of_series(previous, last, weight, power)
            return Passed(total + rest, missed / np.sqrt(np.where(scale > 0, scale, 1.0)))
    raise ArithmeticError(f"the sound between the edges does not die out in {MOST_PASSAGES} passes")


def _product(weight: np.ndarray, one: np.ndarray, other: np.ndarray) -> np.ndarray:
    """∫ conj(one)·other along all edges and over all directions, complex (column,)."""
    parts = np.empty((2, one.shape[-1]))
    kernels.products(weight, one, other, parts)
    return parts[0] + 1j * parts[1]


def _rest_of_series(
    previous: np.ndarray, last: np.ndarray, weight: np.ndarray, power: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """The terms after `last` if each is the same complex multiple of the one before.

    And, per column, the size of what `last`, of the given power, has beside that multiple, summed
    likewise.
    """
    norm = _product(weight, previous, previous).real
    ratio = _product(weight, previous, last) / np.where(norm > 0, norm, 1.0)
    beside = np.sqrt(np.maximum(power - np.abs(ratio) ** 2 * norm, 0.0))
    missed = beside / (1.0 - np.minimum(np.abs(ratio), MOST_KEPT))
    ratio = np.where(np.abs(ratio) < MOST_KEPT, ratio, 0.0)
    factor = (ratio / (1.0 - ratio)).astype(np.result_type(last.dtype, np.complex64))
    rest = np.empty_like(last)
    rest[..., 0, :] = factor.real * last[..., 0, :] - factor.imag * last[..., 1, :]
    rest[..., 1, :] = factor.real * last[..., 1, :] + factor.imag * last[..., 0, :]
    return rest, missed
