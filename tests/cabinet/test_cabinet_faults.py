"""Bodies, pistons and profiles that cannot be, and what is said of them.

What a convex polyhedron is: closed, every edge in two faces that run along it opposite ways, plane
faces, no corner in front of any (any textbook of computational geometry).
"""

from __future__ import annotations

import math

import pytest

from acoustics.cabinet import Body, Piston
from acoustics.cabinet.body import Face
from acoustics.cabinet.piston import face_of
from acoustics.cabinet.profile import Profile
from acoustics.conventions import GeometryError

BOX = Body.box(width=0.2, height=0.3, depth=0.25)


def with_corner(number, place):
    corners = list(BOX.corners)
    corners[number] = place
    return corners


@pytest.mark.parametrize(
    ("corners", "faces", "says"),
    [
        (BOX.corners, BOX.faces[1:], "every edge belongs to two faces"),
        (BOX.corners, (*BOX.faces, BOX.faces[0]), "every edge belongs to two faces"),
        # One corner pushed into the box: three faces are bent.
        (with_corner(0, (0.0, 0.0, -0.05)), BOX.faces, "do not lie in one plane"),
        # All faces turned over: each looks inward.
        (
            BOX.corners,
            tuple(Face(face.corners[::-1]) for face in BOX.faces),
            "run clockwise; split a hollow shape",
        ),
    ],
)
def test_what_is_no_body(corners, faces, says):
    with pytest.raises(GeometryError, match=says):
        Body(tuple(corners), tuple(faces))


def test_neighbouring_faces_in_one_plane_are_to_be_one():
    """A box whose front is two triangles."""
    (a, b, c, d), *rest = (face.corners for face in BOX.faces)
    split = (Face((a, b, c)), Face((a, c, d)), *(Face(corners) for corners in rest))
    with pytest.raises(GeometryError, match="make them one face"):
        Body(BOX.corners, split)


def test_a_plate_with_a_hollow_outline():
    """A square with one corner pushed past its middle: an arrow head."""
    outline = ((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.3, 0.3, 0.0), (0.0, 1.0, 0.0))
    with pytest.raises(GeometryError, match=r"outline is not convex.*split a hollow outline"):
        Body(outline, (Face((0, 1, 2, 3)), Face((3, 2, 1, 0))))


@pytest.mark.parametrize(
    ("radius", "centre", "says"),
    [
        (0.0, (0.0, 0.0, 0.0), "radius must be positive, not 0 m"),
        (math.nan, (0.0, 0.0, 0.0), "radius must be positive"),
        (0.05, (0.0, 0.0), "centre must be three numbers"),
        (0.05, (0.0, math.inf, 0.0), "centre must be three numbers"),
    ],
)
def test_what_is_no_piston(radius, centre, says):
    with pytest.raises(GeometryError, match=says):
        Piston(radius, centre)


@pytest.mark.parametrize(
    ("piston", "says"),
    [
        (Piston(0.05, (0.0, 0.0, 0.1)), "does not lie on a face of the body"),
        (Piston(0.05, (0.0, 0.0, -0.1)), "does not lie on a face of the body"),
        (Piston(0.05, (0.0, 0.0, 0.0), face=1), "does not lie on face 1"),
        (Piston(0.05, (0.0, 0.11, 0.0)), r"crosses an edge of its face \(margin -10.00 mm\)"),
    ],
)
def test_pistons_that_are_not_on_a_face(piston, says):
    assert face_of(BOX, Piston(0.05, (0.0, 0.0, 0.0))) == 0
    with pytest.raises(GeometryError, match=says):
        face_of(BOX, piston)


@pytest.mark.parametrize(
    ("radii", "velocity", "depth", "says"),
    [
        ((0.0, 1.0), (1.0,), (0.0, 0.0), "two or more of each"),
        ((1.0,), (1.0,), (0.0,), "two or more of each"),
        ((0.0, 1.0), (1.0, math.nan), (0.0, 0.0), "must be finite numbers"),
        ((0.0, 0.9), (1.0, 1.0), (0.0, 0.0), "ascending from 0 or more to 1"),
        ((-0.1, 1.0), (1.0, 1.0), (0.0, 0.0), "ascending from 0 or more to 1"),
        ((0.0, 0.5, 0.5, 1.0), (1.0,) * 4, (0.0,) * 4, "ascending from 0 or more to 1"),
    ],
)
def test_what_is_no_profile(radii, velocity, depth, says):
    with pytest.raises(GeometryError, match=says):
        Profile(radii, velocity, depth)
