"""The nodes of a face's other edges, as an edge sees them on the last leg."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from acoustics.field.grid import EdgeTable, Grid, feet_on_edge, least_turn, left_open
from acoustics.field.resolution import Resolution
from acoustics.field.sights import Points, nodes_as_points

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


def emitters_of(grid: Grid, edge: int, nodes: np.ndarray, resolution: Resolution) -> Emitters:
    """See nodes from an edge of one of their faces."""
    points = nodes_as_points(grid, nodes)
    foot, rho = feet_on_edge(grid.edges, edge, points.position)
    turn = least_turn(grid.edges, edge, points.edge)
    strict = resolution.sight**LEG_DIGITS
    tolerance = left_open(grid.edges, edge, points.edge, strict, resolution.corner)
    return Emitters(points, foot, rho, turn, slants_of(grid.edges, edge, points), tolerance)


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
