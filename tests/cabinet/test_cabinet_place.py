"""Faces by name and positions on them."""

from __future__ import annotations

import math

import numpy as np
import pytest

from acoustics.cabinet import (
    EdgeCut,
    body_from_corners,
    chamfered,
    edge_named,
    face_frame,
    face_named,
    place_on_face,
    sloped_front,
    truncated_pyramid,
)
from acoustics.cabinet.names import face_title
from acoustics.conventions import GeometryError

# Drawn by hand: standing before each face, what is 10 mm to the right and 50 mm up.
SEEN = {
    "front": (0.01, 0.05, 0.0),
    "back": (-0.01, 0.05, -0.3),
    "right": (0.11, 0.05, -0.16),
    "left": (-0.11, 0.05, -0.14),
    "top": (0.01, 0.19, -0.2),
    "bottom": (0.01, -0.19, -0.1),
}


@pytest.mark.parametrize("name", SEEN)
def test_positions_are_as_seen_from_outside(name, box):
    assert place_on_face(box, name, 0.01, 0.05) == pytest.approx(SEEN[name])


@pytest.mark.parametrize("name", SEEN)
def test_right_up_and_outward_make_a_right_handed_frame(name, box):
    frame = face_frame(box, face_named(box, name))
    np.testing.assert_allclose(np.cross(frame.right, frame.up), frame.outward, atol=1e-15)


def test_positions_on_a_sloped_front_are_measured_in_the_face():
    body = sloped_front(width=0.2, height=0.4, depth=0.3, lean=math.radians(10))
    x, y, z = place_on_face(body, "front", 0.02, 0.1)
    assert (x, y, z) == pytest.approx(
        (0.02, 0.1 * math.cos(math.radians(10)), -0.1 * math.sin(math.radians(10)))
    )


def test_the_centre_is_the_middle_of_the_greatest_width_and_height():
    """A trapezoid: its centroid lies nearer to the wide end, the tape's middle does not."""
    body = truncated_pyramid(front=(0.2, 0.2), back=(0.2, 0.4), depth=0.3)
    assert place_on_face(body, "left", 0.0, 0.0) == pytest.approx((-0.1, 0.0, -0.15))


def test_cut_edges_do_not_take_the_name_of_a_face(box):
    body = chamfered(box, [EdgeCut("front left", (0.02, 0.01)), EdgeCut("top left", (0.02, 0.02))])
    for index, name in enumerate(("front", "back", "right", "left", "top", "bottom")):
        assert face_named(body, name) == index
        assert face_title(body, index) == f"the {name} face"
    assert face_title(body, 6) == "the face 26.6° left"


def test_names_that_fit_no_face_alone_are_refused(box):
    with pytest.raises(GeometryError, match="no face is called 'side'; faces are called front,"):
        face_named(box, "side")
    roof = body_from_corners(
        [(x, 0.0, z) for x in (-0.1, 0.1) for z in (0.0, -0.2)]
        + [(0.0, 0.2, 0.0), (0.0, 0.2, -0.2)]
    )
    with pytest.raises(GeometryError, match="2 faces look to the top equally"):
        face_named(roof, "top")


def test_edges_of_faces_that_look_the_same_way():
    """A house, whose two roofs are its top, and a box whose front has a ridge across."""
    house = [(x, y, z) for x in (-0.1, 0.1) for y in (0.0, 0.1) for z in (0.0, -0.2)]
    roof = body_from_corners([*house, (0.0, 0.2, 0.0), (0.0, 0.2, -0.2)])
    edge, (left, top) = edge_named(roof, "left top")
    assert roof.points[[edge.start, edge.end], :2].tolist() == [[-0.1, 0.1]] * 2
    assert (roof.normals[left] @ [-1, 0, 0], roof.normals[top, 1]) == pytest.approx((1, 0.5**0.5))
    with pytest.raises(
        GeometryError, match="2 edges of this body are called 'front top'; put upper"
    ):
        edge_named(roof, "front top")
    with pytest.raises(GeometryError, match=r"2 edges .* are called 'upper front top'"):
        edge_named(roof, "upper front top")
    side = ((0.0, 0.0), (0.2, 0.0), (0.1, 0.05), (0.0, -0.2), (0.2, -0.2))
    front = body_from_corners([(x, y, z) for x in (-0.1, 0.1) for y, z in side])
    for name, height in (("upper front left", 0.15), ("lower left front", 0.05)):
        edge, _ = edge_named(front, name)
        assert front.points[[edge.start, edge.end], 1].mean() == pytest.approx(height)
        assert front.points[[edge.start, edge.end], 0].tolist() == [-0.1, -0.1]
    assert edge_named(front, "upper back left") == edge_named(front, "back left")
    with pytest.raises(GeometryError, match="no edge is called 'upper front'"):
        edge_named(front, "upper front")
    with pytest.raises(GeometryError, match="no edge is called 'front front'"):
        edge_named(front, "front front")
