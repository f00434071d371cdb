"""Faces and edges by plain words: "front", "left", "front left"; faces by where they look, too."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

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

FARTHEST_LOOK = 20.0
"""degrees: a direction farther from where every face looks means none of them"""

CLOSE_LOOK = 1.0
"""degrees: a direction that two faces come near by less difference does not tell them apart"""


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
    best = faces_toward(body, name)
    if len(best) > 1:
        raise GeometryError(
            f"{len(best)} faces look to the {name} equally, so none of them is the {name} face; "
            "name a face that stands alone"
        )
    return best[0]


def face_looking(body: Body, direction: Sequence[float], names: Sequence[str]) -> int:
    """Index of the face that looks most nearly in a direction.

    Args:
        body: the body.
        direction: (x, y, z) of any length.
        names: what each of the body's faces is called, for messages.

    Raises:
        GeometryError: no face within `FARTHEST_LOOK`, or two nearly as near as each other.
    """
    normals = body.normals
    way = np.array(direction, dtype=float)
    sines = np.linalg.norm(np.cross(normals, way), axis=1)
    angles = np.degrees(np.arctan2(sines, normals @ way))
    near = [int(face) for face in np.flatnonzero(angles < angles.min() + CLOSE_LOOK)]
    shown = " or ".join(
        f"{direction_text(normals[face])} for the {face_words(names[face])} ({angles[face]:.3g}°)"
        for face in near
    )
    if angles.min() > FARTHEST_LOOK:
        raise GeometryError(
            f"no face looks within {FARTHEST_LOOK:g}° of {direction_text(way)}; give the nearest, "
            f"{shown}, or another"
        )
    if len(near) > 1:
        raise GeometryError(
            f"{len(near)} faces look almost equally near to {direction_text(way)}; give {shown}"
        )
    return near[0]


def face_name(body: Body, face: int) -> str:
    """What a face is called: "front", or where it looks if no such name fits it alone."""
    fitting = (name for name in DIRECTIONS if faces_toward(body, name) == [face])
    return next(fitting, f"face {_ways(body.normals[face])}")


def chamfer_name(edge: str) -> str:
    """What the face is called that a chamfer of an edge makes."""
    return f"{edge} chamfer"


def face_words(name: str) -> str:
    """A face's name as a noun: "front face", "front left chamfer", "face 30° left, 10° up"."""
    return f"{name} face" if name in DIRECTIONS else name


def face_title(body: Body, face: int) -> str:
    """What messages call a face: "the front face", "the face 30° left, 10° up"."""
    return f"the {face_words(face_name(body, face))}"


def direction_text(direction: Sequence[float] | np.ndarray) -> str:
    """A direction as it is written in a case file: "[-0.71, 0, 0.71]"."""
    return "[" + ", ".join(f"{round(float(x), 3) + 0.0:g}" for x in direction) + "]"


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
    firsts, seconds = (faces_toward(body, word) for word in words)
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


def faces_toward(body: Body, name: str) -> list[int]:
    """Faces whose normal is nearest to the direction of the name: one, or several that tie."""
    cosines = body.normals @ np.array(DIRECTIONS[name])
    return [int(face) for face in np.flatnonzero(cosines > cosines.max() - SAME_LOOK)]


def _ways(normal: np.ndarray) -> str:
    """How far a face is turned from the front's +z to the side, and how far up or down."""
    # Rounded, so that a face that looks back and up is turned by 180° to the same side always.
    x, y, z = np.round(normal, 9) + 0.0
    aside, upward = math.degrees(math.atan2(x, z)), math.degrees(math.asin(y))
    turns = ((aside, "right", "left"), (upward, "up", "down"))
    parts = [
        f"{abs(round(angle, 1)):g}° {ahead if angle > 0 else back}"
        for angle, ahead, back in turns
        if round(angle, 1)
    ]
    return ", ".join(parts)


def _listed(names: Iterable[str]) -> str:
    *most, last = names
    return f"{', '.join(most)} and {last}"
