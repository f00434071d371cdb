"""Rounded edges as facets: as few as the wavelength needs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from acoustics.cabinet.body import Body
from acoustics.cabinet.chamfer import EdgeCut, chamfered
from acoustics.cabinet.cut_edges import Planes, cut_edges, planes_with
from acoustics.cabinet.half_spaces import solid_behind
from acoustics.cabinet.names import FRONT_EDGES, edge_named
from acoustics.conventions import GeometryError

FACET_ERROR = (3.5, 1.0, 0.45, 0.2)
"""dB over (radius/wavelength)² that one, two, three and four facets are off an arc, about: a little
above what 40 mm rounds of a box showed at any angle against six facets, to half a wavelength."""

FACET_LIMIT = ((math.inf, 0.1, 0.05, 0.05), (math.inf, 0.2, 0.15, 0.1))
"""dB that they are off at most, likewise: for a radius of up to a wavelength, and of more (measured
to 1.2 wavelengths for four facets, to 1.4 for two and three)."""

GENTLEST = math.radians(10.0)
"""Facets that turn by less serve no better."""

NUDGES = (0.0, 1e-3, -1e-3, 2e-3)
"""Shares of the first radius, twice as much of the second and so on, by which radii may move."""


@dataclass(frozen=True)
class Round:
    """An edge, named by the two faces that meet in it ("front left"), and its radius, m."""

    edge: str
    radius: float


@dataclass(frozen=True)
class RoundedBody:
    """A body with rounded edges, mitred where they meet at a corner.

    Sound sees an arc through facets: how many it takes depends on the wavelength, so this makes
    a Body for each. The flat part of a face shrinks with the number of facets; drivers must fit
    on `flat_parts`.

    Raises:
        GeometryError: no edges, an edge that is not there or given twice, a radius that is not
            positive, or radii that leave nothing of a face or an edge.
    """

    base: Body
    rounds: tuple[Round, ...]

    def __post_init__(self) -> None:
        if not self.rounds:
            raise GeometryError("name at least one edge to round")
        for item in self.rounds:
            if not (math.isfinite(item.radius) and item.radius > 0):
                raise GeometryError(
                    f"edge {item.edge}: the radius must be positive, not {item.radius:g} m"
                )
        self.flat_parts()

    def facets(self, wavelength: float, accuracy: float = 0.1) -> tuple[int, ...]:
        """How many facets each rounded edge needs, see `facets_needed`; none turns too little."""
        needed = (facets_needed(item.radius, wavelength, accuracy) for item in self.rounds)
        return tuple(min(pair) for pair in zip(needed, self.most_facets, strict=True))

    @property
    def most_facets(self) -> tuple[int, ...]:
        """How many facets each rounded edge is given at most."""
        gentle = (max(int(_turn(self.base, item) / GENTLEST) - 1, 1) for item in self.rounds)
        return tuple(min(len(FACET_ERROR), most) for most in gentle)

    def body(self, wavelength: float, accuracy: float = 0.1) -> Body:
        """The body with as many facets as a wavelength needs.

        Args:
            wavelength: the shortest that the body is to serve, m.
            accuracy: dB.
        """
        return self.with_facets(self.facets(wavelength, accuracy))

    def with_facets(self, facets: Sequence[int]) -> Body:
        """The body with a given number of facets on each rounded edge, in the order of `rounds`.

        Where facets of different radii would meet in an edge of micrometres, the radii are moved
        by thousandths.
        """
        for nudge in NUDGES:
            try:
                return cut_edges(self.base, self._cuts(facets, nudge))
            except GeometryError:
                continue
        return cut_edges(self.base, self._cuts(facets))

    def corners(self, facets: int) -> np.ndarray:
        """Corners with so many facets on each rounded edge, to look at, shape (corner, 3), m.

        Many facets of different radii may meet in edges too short for `with_facets`; here they may.
        """
        solid = solid_behind(*planes_with(self.base, self._cuts([facets] * len(self.rounds))))
        assert solid is not None  # the flat parts have an inside, and facets leave more
        return solid.points

    def _cuts(self, facets: Sequence[int], nudge: float = 0.0) -> dict[str, Planes]:
        cuts = {}
        for index, (item, count) in enumerate(zip(self.rounds, facets, strict=True), start=1):
            moved = replace(item, radius=item.radius * (1.0 + nudge * index))
            cuts[item.edge] = facet_planes(self.base, moved, count)
        return cuts

    def error(self, wavelength: np.ndarray, facets: Sequence[int]) -> np.ndarray:
        """How far off the arcs the facets are at most, dB, about, like `wavelength` (m)."""
        errors = [
            facet_error(item.radius, count, wavelength)
            for item, count in zip(self.rounds, facets, strict=True)
        ]
        largest: np.ndarray = np.max(errors, axis=0)
        return largest

    def flat_parts(self) -> Body:
        """A body whose faces, in the base's order, are what stays flat of them with true arcs.

        However many facets there are, they leave more: a driver that fits here always fits.
        """
        return chamfered(
            self.base,
            [EdgeCut(item.edge, (_tangent_setback(self.base, item),) * 2) for item in self.rounds],
        )


def flat_parts(body: Body | RoundedBody) -> Body:
    """A body on whose faces pistons are placed: of rounded edges what they leave flat."""
    return body if isinstance(body, Body) else body.flat_parts()


def rounded(body: Body, radius: float, edges: Sequence[str] = FRONT_EDGES) -> RoundedBody:
    """Round edges of a body off, all with one radius.

    Args:
        body: a box or any other convex body with named faces.
        radius: m.
        edges: each by the two faces that meet there, "front left"; the front face's four if left
            out.

    Raises:
        GeometryError: as `RoundedBody`.

    Example:
        >>> import acoustics as ac
        >>> box = ac.Body.box(width=0.22, height=0.38, depth=0.30)
        >>> soft = ac.rounded(box, 0.02)
    """
    return RoundedBody(body, tuple(Round(edge, radius) for edge in edges))


def facets_needed(radius: float, wavelength: float, accuracy: float = 0.1) -> int:
    """The fewest facets that stand for an arc within an accuracy, at most four.

    Args:
        radius: m.
        wavelength: m.
        accuracy: dB.
    """
    off = [float(facet_error(radius, n, wavelength)) for n in range(1, len(FACET_ERROR) + 1)]
    good = [n for n, error in enumerate(off, start=1) if error <= accuracy]
    return good[0] if good else len(FACET_ERROR)


def facet_error(radius: float, facets: int, wavelength: np.ndarray | float) -> np.ndarray:
    """How far off an arc one to four facets are, dB, about; see FACET_ERROR, FACET_LIMIT."""
    ratio = radius / np.asarray(wavelength)
    limit = np.where(ratio <= 1.0, FACET_LIMIT[0][facets - 1], FACET_LIMIT[1][facets - 1])
    answer: np.ndarray = np.minimum(FACET_ERROR[facets - 1] * ratio**2, limit)
    return answer


def facet_radius(radius: float, facets: int, turn: float = math.pi / 2) -> float:
    """Radius of the circle about which facets stand that cut off as much as an arc does.

    An arc of radius r takes r²(tan(Θ/2) − Θ/2) off the cross-section, n facets with equal turns
    δ = Θ/(n + 1) about a circle of radius R take R²(tan(Θ/2) − (n + 1) tan(δ/2)).

    Args:
        radius: of the arc, m.
        facets: how many.
        turn: Θ, the angle between the two faces' normals, rad.

    Returns:
        R, m.
    """
    whole, count = math.tan(turn / 2), facets + 1
    return radius * math.sqrt((whole - turn / 2) / (whole - count * math.tan(turn / count / 2)))


def facet_planes(body: Body, item: Round, facets: int) -> Planes:
    """Planes of the facets that stand for a rounded edge, from its first face to its second."""
    edge, (first, second) = edge_named(body, item.edge)
    one, other = body.normals[first], body.normals[second]
    turn = _turn(body, item)
    radius = facet_radius(item.radius, facets, turn)
    # The circle touches both faces.
    centre = body.points[edge.start] - radius * (one + other) / (1 + math.cos(turn))
    angles = turn * np.arange(1, facets + 1)[:, None] / (facets + 1)
    normals = (np.sin(turn - angles) * one + np.sin(angles) * other) / math.sin(turn)
    return normals, normals @ centre + radius


def _turn(body: Body, item: Round) -> float:
    """Angle between the normals of the faces that meet in an edge, rad."""
    _, (first, second) = edge_named(body, item.edge)
    one, other = body.normals[first], body.normals[second]
    return math.atan2(float(np.linalg.norm(np.cross(one, other))), float(one @ other))


def _tangent_setback(body: Body, item: Round) -> float:
    """How far from the edge the arc touches its faces, m."""
    return item.radius * math.tan(_turn(body, item) / 2)
