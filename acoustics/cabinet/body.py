"""Convex rigid bodies: corners, plane faces and the edges between them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from acoustics.conventions import GeometryError

PLANE_TOLERANCE = 1e-9
"""m: closer to a plane than this counts as in it."""

LEAST_TURN = 1e-6
"""rad: faces that meet at less than this are one face."""

SHORTEST_EDGE = 1e-5
"""m: corners nearer to each other than this cannot be told apart."""

BOX_LOOPS = (
    (0, 1, 3, 2),  # front, +z
    (5, 4, 6, 7),  # back, -z
    (1, 5, 7, 3),  # right, +x
    (4, 0, 2, 6),  # left, -x
    (2, 3, 7, 6),  # top, +y
    (4, 5, 1, 0),  # bottom, -y
)
"""Faces of a six-sided body whose corners run left to right, then bottom to top, then backward."""


@dataclass(frozen=True)
class Face:
    """A plane face: its corners counter-clockwise as seen from outside (indices of corners)."""

    corners: tuple[int, ...]


@dataclass(frozen=True)
class Edge:
    """An edge from corner `start` to corner `end`, and the two faces that meet in it.

    Side 0 is the face that runs along the edge from start to end, side 1 the one that runs back.
    """

    start: int
    end: int
    faces: tuple[int, int]


@dataclass(frozen=True)
class Body:
    """A convex polyhedron with rigid faces, or a plate without thickness: two faces, back to back.

    `corners` are points (x, y, z) in metres, `faces` loops of corner indices, counter-clockwise
    seen from outside. Face 0 is the front face.

    Example:
        >>> import acoustics as ac
        >>> body = ac.Body.box(width=0.22, height=0.38, depth=0.30)
        >>> len(body.faces)
        6
    """

    corners: tuple[tuple[float, float, float], ...]
    faces: tuple[Face, ...]

    def __post_init__(self) -> None:
        """Refuse what is not a closed convex polyhedron.

        Raises:
            GeometryError: an open or doubly covered edge, a bent face, a face that looks inward,
                a hollow, or two faces in one plane.
        """
        steps = [
            step
            for face in self.faces
            for step in zip(face.corners, face.corners[1:] + face.corners[:1], strict=True)
        ]
        if len(set(steps)) != len(steps) or {(b, a) for a, b in steps} != set(steps):
            raise GeometryError(
                "a body must be closed: every edge belongs to two faces, whose corners run "
                "counter-clockwise seen from outside"
            )
        heights = self.points @ self.normals.T - self.offsets
        for index, face in enumerate(self.faces):
            if np.abs(heights[list(face.corners), index]).max() > PLANE_TOLERANCE:
                raise GeometryError(f"face {index}: its corners do not lie in one plane")
        if heights.max() > PLANE_TOLERANCE:
            corner, index = np.unravel_index(heights.argmax(), heights.shape)
            raise GeometryError(
                f"corner {corner} lies in front of face {index}: the body is not convex there, or "
                "the face's corners run clockwise; split a hollow shape or smooth it over"
            )
        if self.wedge_angles.min() < np.pi + LEAST_TURN:
            raise GeometryError("two neighbouring faces lie in one plane; make them one face")
        if self.thin:
            self._refuse_hollow_outline()

    def _refuse_hollow_outline(self) -> None:
        """On a plate no corner is in front of a face, so hollows show in the outline alone."""
        for edge in self.edges:
            beyond = (self.points - self.points[edge.start]) @ self.in_tangent(edge, 0)
            if beyond.min() < -PLANE_TOLERANCE:
                raise GeometryError(
                    f"the plate's outline is not convex at the side from corner {edge.start} to "
                    f"corner {edge.end}; split a hollow outline or smooth it over"
                )

    @classmethod
    def box(cls, *, width: float, height: float, depth: float) -> Body:
        """A rectangular cabinet, its front face centred on the origin in the plane z = 0.

        Args:
            width: along x, m.
            height: along y, m.
            depth: behind the front face, m.

        Raises:
            GeometryError: a length that is not a positive number.
        """
        for name, value in (("width", width), ("height", height), ("depth", depth)):
            if not (math.isfinite(value) and value > 0):
                raise GeometryError(f"Body.box: {name} must be positive, not {value:g} m")
        right, top = width / 2, height / 2
        corners = tuple(
            (x, y, z) for z in (0.0, -depth) for y in (-top, top) for x in (-right, right)
        )
        return cls(corners, tuple(Face(loop) for loop in BOX_LOOPS))

    @cached_property
    def points(self) -> np.ndarray:
        """The corners as an array, shape (corner, 3), m."""
        return np.asarray(self.corners, dtype=float)

    @cached_property
    def normals(self) -> np.ndarray:
        """Outward unit normals of the faces, shape (face, 3)."""
        normals = []
        for face in self.faces:
            loop = self.points[list(face.corners)]
            # Newell's sum: exact for any plane polygon, whichever corner it starts from.
            normal = np.cross(loop, np.roll(loop, -1, axis=0)).sum(axis=0)
            normals.append(normal / np.linalg.norm(normal))
        return np.array(normals)

    @cached_property
    def offsets(self) -> np.ndarray:
        """Distance of each face's plane from the origin along its normal, shape (face,), m."""
        first = [face.corners[0] for face in self.faces]
        return np.einsum("fi,fi->f", self.normals, self.points[first])

    @cached_property
    def edges(self) -> tuple[Edge, ...]:
        """Every edge once, in the order in which the faces meet it."""
        owner: dict[tuple[int, int], int] = {}
        for index, face in enumerate(self.faces):
            for start, end in zip(face.corners, face.corners[1:] + face.corners[:1], strict=True):
                owner[start, end] = index
        return tuple(
            Edge(start, end, (face, owner[end, start]))
            for (start, end), face in owner.items()
            if start < end
        )

    @cached_property
    def wedge_angles(self) -> np.ndarray:
        """Exterior angle of each edge, shape (edge,), rad: 3π/2 if square, 2π on a thin plate."""
        sides = np.array([edge.faces for edge in self.edges])
        one, other = self.normals[sides[:, 0]], self.normals[sides[:, 1]]
        # From sine and cosine: the arc cosine alone is good to 1e-8 only, flat or back to back.
        sines = np.linalg.norm(np.cross(one, other), axis=1)
        return np.pi + np.arctan2(sines, np.einsum("ei,ei->e", one, other))

    @property
    def thin(self) -> bool:
        """Whether this is a plate without thickness."""
        return len(self.faces) == 2

    def heights_above_faces(self, points: np.ndarray) -> np.ndarray:
        """Signed distance of points from every face's plane, shape (point, face), m.

        Args:
            points: shape (point, 3), m.
        """
        heights = points @ self.normals.T - self.offsets
        heights[np.abs(heights) < PLANE_TOLERANCE] = 0.0
        return heights

    def in_tangent(self, edge: Edge, side: int) -> np.ndarray:
        """Unit vector at right angles to an edge that points into its face on `side`."""
        return self._in_tangents[edge][side]

    @cached_property
    def _in_tangents(self) -> dict[Edge, np.ndarray]:
        """For each edge those of both sides, (side, 3), read-only."""
        found = {}
        for edge in self.edges:
            along = self.points[edge.end] - self.points[edge.start]
            along = along / np.linalg.norm(along)
            left, right = (self.normals[face] for face in edge.faces)
            both = np.array([np.cross(left, along), np.cross(along, right)])
            both.flags.writeable = False
            found[edge] = both
        return found
