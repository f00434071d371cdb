"""The edges round a face, laid out for one pass over them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from acoustics.cabinet import Body
from acoustics.field.grid import EdgeTable, Grid, edges_round
from acoustics.field.views import view_from_edge


class RoundFace(NamedTuple):
    """The panels round a face, of a grid.

    panel, side: which they are and the side of their edge that is the face; ring: number of the
    edge round the face; place: of a panel's first node among the nodes of these edges, one edge
    after the other; all (panel,). nodes: how many nodes that are.
    """

    panel: np.ndarray
    side: np.ndarray
    ring: np.ndarray
    place: np.ndarray
    nodes: int


class Views(NamedTuple):
    """Receivers as the edges round a face see them, in the terms of `View`, edge after edge.

    `first` (edge + 1,) tells where those of an edge begin.
    """

    first: np.ndarray
    index: np.ndarray  # type: ignore[assignment]  # hides tuple.index
    z: np.ndarray
    rho: np.ndarray
    theta: np.ndarray
    share: np.ndarray


def round_face(grid: Grid, face: int) -> RoundFace:
    """Lay out the panels round a face."""
    edges = edges_round(grid.edges, face)
    nodes = [grid.nodes_of_edge(edge) for edge in edges]
    begins = np.cumsum([0] + [each.stop - each.start for each in nodes])
    panel, side = (np.array(each) for each in zip(*grid.panels_of_face(face), strict=True))
    ring = np.array([edges.index(int(grid.edge[each])) for each in panel])
    within = grid.first[panel] - np.array([each.start for each in nodes])[ring]
    return RoundFace(panel, side, ring, begins[ring] + within, int(begins[-1]))


def views_round(body: Body, edges: EdgeTable, face: int, receivers: np.ndarray) -> Views:
    """See `receivers` (receiver, 3) from all edges round a face."""
    seen = [
        view_from_edge(body, edges, edge, int(np.argmax(edges.faces[edge] == face)), receivers)
        for edge in edges_round(edges, face)
    ]
    first = np.cumsum([0] + [view.z.size for view in seen])
    return Views(first, *(np.concatenate(each) for each in zip(*seen, strict=True)))


def side_by_side(views: Sequence[Views], counts: Sequence[int]) -> Views:
    """Views of groups of so many receivers each, as of all receivers in a row."""
    rings = views[0].first.size - 1
    ring = np.concatenate([np.repeat(np.arange(rings), np.diff(each.first)) for each in views])
    order = np.argsort(ring, kind="stable")
    before = np.cumsum([0, *counts[:-1]])
    shift = np.repeat(before, [each.index.size for each in views])
    joined = [np.concatenate(each)[order] for each in list(zip(*views, strict=True))[1:]]
    joined[0] += shift[order]
    return Views(np.sum([each.first for each in views], axis=0), *joined)
