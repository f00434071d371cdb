"""Faces and edges by plain words: "front", "left", "front left"."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from acoustics.cabinet.body import PLANE_TOLERANCE, Body, Edge
from acoustics.conventions import GeometryError

DIRECTIONS = {
    "front": (0.0, 0.0, 1.0),
    "back": (0.0, 0.0, -1.0),
    "right": (1.0, 0.0, 0.0),
    "left": (-1.0, 0.0, 0.0),
    "top": (0.0, 1.0, 0.0),
    "bottom": (0.0, -1.0, 0.0),
}
"""The way each named face looks, left and right as the listener sees the cabinet."""

FRONT_EDGES = ("front left", "front right", "front top", "front bottom")
BOX_EDGES = (
    *FRONT_EDGES,
    *("back left", "back right", "back top", "back bottom"),
    *("top left", "top right", "bottom left", "bottom right"),
)

HEIGHTS = {"upper": 1.0, "lower": -1.0}
"""Which of two edges with one name, by the sign of their heights."""

SAME_LOOK = 1e-9
"""Difference of direction cosines below which two faces look the same way."""


def face_named(body: Body, name: str) -> int:
    """Index of the face that looks most nearly the way of its name.

    Args:
        body: the body.
        name: front (+z), back, right (+x), left, top (+y) or bottom.

    Raises:
        GeometryError: no such name, or two faces look that way equally.
    """
    if name not in DIRECTIONS:
        raise GeometryError(f"no face is called {name!r}; faces are called {_listed(DIRECTIONS)}")
    best = _most_nearly(body, name)
    if len(best) > 1:
        raise GeometryError(
            f"{len(best)} faces look to the {name} equally, so none of them is the {name} face; "
            "name a face that stands alone"
        )
    return best[0]


def face_title(body: Body, face: int) -> str:
    """What messages call a face: "the front face", or its number where no name fits it alone."""
    for name in DIRECTIONS:
        if _most_nearly(body, name) == [face]:
            return f"the {name} face"
    return f"face {face}"


def edge_named(body: Body, name: str) -> tuple[Edge, tuple[int, int]]:
    """The edge in which two named faces meet, and the two faces in the order of the name.

    Faces that look the same way share its name here, as long as one edge alone fits. Where two
    fit, one above the other, "upper" or "lower" before the name tells which.

    Args:
        body: the body.
        name: two faces, such as "front left", "left front" or "upper front left".

    Raises:
        GeometryError: not two faces, no edge in which they meet, or several.
    """
    words = name.split()
    height = HEIGHTS[words.pop(0)] if words and words[0] in HEIGHTS else 0.0
    if len(words) != 2 or len(DIRECTIONS.keys() & words) != 2:
        raise GeometryError(
            f"no edge is called {name!r}; name the two faces that meet in it, such as "
            '"front left" or "top back"'
        )
    firsts, seconds = (_most_nearly(body, word) for word in words)
    fitting = [
        (edge, faces)
        for edge in body.edges
        for faces in (edge.faces, edge.faces[::-1])
        if faces[0] in firsts and faces[1] in seconds
    ]
    if not fitting:
        raise GeometryError(
            f"the {words[0]} and {words[1]} faces of this body do not meet in an edge; edges of a "
            f"box are {_listed(BOX_EDGES)}"
        )
    if height:
        middles = [height * body.points[[edge.start, edge.end], 1].mean() for edge, _ in fitting]
        reached = max(middles) - PLANE_TOLERANCE
        fitting = [each for each, at in zip(fitting, middles, strict=True) if at > reached]
    if len(fitting) > 1:
        raise GeometryError(
            f"{len(fitting)} edges of this body are called {name!r}; put upper or lower before the "
            "name where one lies above the other, or name an edge that stands alone"
        )
    return fitting[0]


def _most_nearly(body: Body, name: str) -> list[int]:
    """Faces whose normal is nearest to the direction of the name: one, or several that tie."""
    cosines = body.normals @ np.array(DIRECTIONS[name])
    return [int(face) for face in np.flatnonzero(cosines > cosines.max() - SAME_LOOK)]


def _listed(names: Iterable[str]) -> str:
    *most, last = names
    return f"{', '.join(most)} and {last}"
