"""Edges of a body as arrays, and the quadrature points laid on them."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from acoustics.cabinet import Body
from acoustics.field import kernels
from acoustics.field.quadrature import gauss_rule
from acoustics.field.resolution import SHALLOW, Resolution

SHORTEST_PANEL = 2.0**-20
"""of its edge: shorter than what is least of what is near, so that it ends halving alone that no
halving helps"""


class EdgeTable(NamedTuple):
    """The edges of a body as arrays for the kernels; lengths in metres, angles in radians."""

    origin: np.ndarray
    """(edge, 3)"""
    along: np.ndarray
    """(edge, 3), unit"""
    length: np.ndarray
    wedge: np.ndarray
    """exterior angle (edge,)"""
    nu: np.ndarray
    corners: np.ndarray
    """(edge, 2)"""
    faces: np.ndarray
    """(edge, side)"""
    tangent: np.ndarray
    """(edge, side, 3): into the face, at right angles to the edge"""
    normal: np.ndarray
    """(edge, side, 3): outward from the face"""


def edge_table(body: Body) -> EdgeTable:
    """Tabulate a body's edges."""
    edges = body.edges
    corners = np.array([(edge.start, edge.end) for edge in edges], dtype=np.int64)
    faces = np.array([edge.faces for edge in edges], dtype=np.int64)
    origin = body.points[corners[:, 0]]
    vector = body.points[corners[:, 1]] - origin
    length = np.linalg.norm(vector, axis=1)
    return EdgeTable(
        origin=origin,
        along=vector / length[:, None],
        length=length,
        wedge=body.wedge_angles,
        nu=np.pi / body.wedge_angles,
        corners=corners,
        faces=faces,
        tangent=np.array([[body.in_tangent(edge, side) for side in (0, 1)] for edge in edges]),
        normal=body.normals[faces],
    )


def edges_round(edges: EdgeTable, face: int) -> tuple[int, ...]:
    """The edges of a face, ascending."""
    return tuple(int(e) for e in np.flatnonzero((edges.faces == face).any(axis=1)))


def feet_on_edge(edges: EdgeTable, edge: int, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Coordinate along an edge's line of the points' feet, and their distances from it (m)."""
    foot, rho = np.empty(len(points)), np.empty(len(points))
    kernels.feet_and_distances(points, edges.origin[edge], edges.along[edge], foot, rho)
    return foot, rho


def meet_sharply(edges: EdgeTable, edge: int, others: np.ndarray) -> np.ndarray:
    """Which other edges share a corner with an edge, none of the two being shallow, (other,)."""
    shared = np.isin(edges.corners[others], edges.corners[edge]).any(axis=1)
    answer: np.ndarray = shared & (least_turn(edges, edge, others) > SHALLOW)
    return answer


def least_turn(edges: EdgeTable, edge: int, others: np.ndarray) -> np.ndarray:
    """The lesser angle by which faces turn at an edge and at others, rad, (other,)."""
    answer: np.ndarray = np.minimum(edges.wedge[others], edges.wedge[edge]) - np.pi
    return answer


def left_open(
    edges: EdgeTable, edge: int, others: np.ndarray, close: float, corner: float
) -> np.ndarray:
    """What a rule may leave of what an edge and others send each other, (other,).

    Args:
        edges: the body's edges.
        edge: one of them.
        others: the others.
        close: share that may be left of edges close by.
        corner: likewise of those that meet it sharply in a corner, if that is more.
    """
    meets = meet_sharply(edges, edge, others)
    answer: np.ndarray = np.where(meets, max(corner, close), close)
    return answer


class Grid(NamedTuple):
    """Gauss points on panels of the edges.

    A panel is a piece of an edge; it sends nothing to panels of its own line. `ends` holds the
    corner at each end of a panel, −1 where the panel ends inside its edge.
    """

    edges: EdgeTable
    edge: np.ndarray
    start: np.ndarray
    length: np.ndarray
    first: np.ndarray
    count: np.ndarray  # type: ignore[assignment]  # of a panel; hides tuple.count
    ends: np.ndarray
    face_first: np.ndarray
    face_panel: np.ndarray
    face_side: np.ndarray
    node_panel: np.ndarray
    node_edge: np.ndarray
    node_x: np.ndarray
    node_z: np.ndarray
    node_weight: np.ndarray
    node_bary: np.ndarray
    node_position: np.ndarray

    @property
    def nodes(self) -> int:
        """Number of edge points."""
        return int(self.node_z.size)

    def panels_of_face(self, face: int) -> list[tuple[int, int]]:
        """(panel, side of its edge) for every panel that borders a face."""
        entries = slice(self.face_first[face], self.face_first[face + 1])
        pairs = zip(self.face_panel[entries], self.face_side[entries], strict=True)
        return [(int(panel), int(side)) for panel, side in pairs]

    def nodes_of_edge(self, edge: int) -> slice:
        """A run of nodes: those of an edge."""
        first, stop = np.searchsorted(self.node_edge, [edge, edge + 1])
        return slice(int(first), int(stop))

    def interpolation(self, panel: int, x: np.ndarray) -> np.ndarray:
        """From a panel's nodes to the places x ∈ [−1, 1] on it, (place, node)."""
        rule = gauss_rule(int(self.count[panel]))
        out = np.empty((x.size, rule.x.size))
        kernels.interpolation(x, rule.x, rule.bary, out)
        return out

    def nodes_of_panel(self, panel: int) -> np.ndarray:
        """Indices of a panel's nodes."""
        return np.arange(self.first[panel], self.first[panel] + self.count[panel])


def build_grid(
    edges: EdgeTable,
    faces: int,
    near: list[tuple[np.ndarray, np.ndarray]],
    wavelength: float,
    resolution: Resolution,
) -> Grid:
    """Lay Gauss points on every edge, finer where a driver's rim or a receiver is near.

    Args:
        edges: the body's edges.
        faces: the number of its faces.
        near: per edge the feet (m along it) and distances (m) of what it must resolve.
        wavelength: the shortest one, m.
        resolution: rules for the number of points.
    """
    rows: list[tuple[int, float, float, int]] = []
    for index, (feet, distances) in enumerate(near):
        pieces = [(0.0, float(edges.length[index]))]
        while pieces:
            begin, extent = pieces.pop()
            points = resolution.points(extent, wavelength)
            turn = float(edges.wedge[index]) - np.pi
            shortest = SHORTEST_PANEL * float(edges.length[index])
            near_points = feet, distances, turn, begin, extent, points, resolution.tolerance
            if extent < shortest or _resolves(*near_points):
                rows.append((index, begin, extent, points))
            else:
                pieces += [(begin + extent / 2, extent / 2), (begin, extent / 2)]
    edge = np.array([row[0] for row in rows], dtype=np.int64)
    start = np.array([row[1] for row in rows])
    length = np.array([row[2] for row in rows])
    count = np.array([row[3] for row in rows], dtype=np.int64)
    ends = edges.corners[edge].copy()
    ends[start > 0.0, 0] = -1
    ends[start + length < edges.length[edge] * (1 - 1e-12), 1] = -1

    entries = [
        [(panel, side) for side in (0, 1) for panel in np.flatnonzero(edges.faces[edge, side] == f)]
        for f in range(faces)
    ]
    flat = np.array([pair for face in entries for pair in face], dtype=np.int64)
    rules = [gauss_rule(int(n)) for n in count]
    node_panel = np.repeat(np.arange(count.size), count)
    node_x = np.concatenate([rule.x for rule in rules])
    half = 0.5 * length[node_panel]
    node_z = start[node_panel] + half * (1.0 + node_x)
    node_edge = edge[node_panel]
    return Grid(
        edges=edges,
        edge=edge,
        start=start,
        length=length,
        first=np.concatenate([[0], np.cumsum(count)[:-1]]).astype(np.int64),
        count=count,
        ends=ends,
        face_first=np.cumsum([0] + [len(face) for face in entries]).astype(np.int64),
        face_panel=np.ascontiguousarray(flat[:, 0]),
        face_side=np.ascontiguousarray(flat[:, 1]),
        node_panel=node_panel,
        node_edge=node_edge,
        node_x=node_x,
        node_z=node_z,
        node_weight=half * np.concatenate([rule.w for rule in rules]),
        node_bary=np.concatenate([rule.bary for rule in rules]),
        node_position=edges.origin[node_edge] + node_z[:, None] * edges.along[node_edge],
    )


def _resolves(
    feet: np.ndarray,
    distances: np.ndarray,
    turn: float,
    start: float,
    length: float,
    count: int,
    tolerance: float,
) -> bool:
    """Whether a panel's Gauss points resolve every near point."""
    turns, tolerances = np.full(feet.size, turn), np.full(feet.size, tolerance)
    return bool(kernels.all_plain(feet, distances, turns, start, length, count, tolerances))
