"""Plates with and without thickness."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.cabinet import Body, Face, Piston, face_areas, face_of, plate, thin_plate
from acoustics.conventions import GeometryError

KITE = [(0.0, -0.3), (0.2, 0.0), (0.0, 0.1), (-0.2, 0.0)]


def test_a_plate_with_thickness_is_a_box():
    assert plate(width=0.3, height=0.5, thickness=0.02) == Body.box(
        width=0.3, height=0.5, depth=0.02
    )


def test_a_thin_plate_has_two_faces_that_share_every_edge():
    body = thin_plate(KITE)
    assert [len(face.corners) for face in body.faces] == [4, 4]
    assert len(body.edges) == 4
    assert all(set(edge.faces) == {0, 1} for edge in body.edges)
    np.testing.assert_array_equal(body.normals, [[0, 0, 1], [0, 0, -1]])
    np.testing.assert_array_equal(body.wedge_angles, 2 * np.pi)
    # Half the product of the diagonals.
    np.testing.assert_allclose(face_areas(body), 0.4 * 0.4 / 2)


def test_both_sides_of_an_edge_point_into_the_plate():
    body = thin_plate(KITE)
    for edge in body.edges:
        middle = body.points[[edge.start, edge.end]].mean(axis=0)
        along = body.points[edge.end] - body.points[edge.start]
        for side in (0, 1):
            tangent = body.in_tangent(edge, side)
            assert tangent @ along == pytest.approx(0.0, abs=1e-15)
            assert tangent @ ([0.0, -0.05, 0.0] - middle) > 0
            # Side 0 is the face that runs from start to end.
            loop = body.faces[edge.faces[side]].corners
            first, second = (edge.start, edge.end) if side == 0 else (edge.end, edge.start)
            assert loop[(loop.index(first) + 1) % len(loop)] == second


def test_heights_above_a_plate():
    heights = thin_plate(KITE).heights_above_faces(
        np.array([[0.0, 0.0, 0.1], [0.0, 0.0, -0.2], [5.0, 0.0, 0.0]])
    )
    np.testing.assert_array_equal(heights, [[0.1, -0.1], [-0.2, 0.2], [0.0, 0.0]])


@pytest.mark.parametrize("outline", [KITE, KITE[::-1], KITE[2:] + KITE[:2]])
def test_either_way_round_gives_the_same_front(outline):
    body = thin_plate(outline)
    np.testing.assert_array_equal(body.normals[0], [0, 0, 1])
    assert set(body.corners) == {(x, y, 0.0) for x, y in KITE}


def test_a_driver_sits_on_the_front_of_a_plate():
    body = plate(width=0.3, height=0.5)
    assert face_of(body, Piston(radius=0.05, centre=(0.05, 0.1, 0.0))) == 0
    with pytest.raises(GeometryError, match="crosses an edge"):
        face_of(body, Piston(radius=0.05, centre=(0.2, 0.1, 0.0)))


@pytest.mark.parametrize(
    ("outline", "message"),
    [
        (KITE[:2], "at least three corners, not 2"),
        ([*KITE, (0.0, np.nan)], "outline corner 5 of 5 must be two numbers"),
        ([*KITE, (0.0, 0.0, 0.0)], "outline corner 5 of 5 must be two numbers"),
        ([*KITE, KITE[1]], "outline corners 2 and 5 of 5 are both at"),
        (
            [(0, 0), (0.2, 0), (0, 0.2), (0.2, 0.2)],
            r"crosses itself: its side from \(0.2, 0\) to \(0, 0.2\)",
        ),
        ([(0, 0), (0.2, 0), (0.2, 0.2), (0.1, 0.1), (0, 0.2)], r"corner 4 .* hollow there"),
        ([(0, 0), (0, 0.2), (0.1, 0.1), (0.2, 0.2), (0.2, 0)], r"corner 3 .* hollow there"),
        ([(0, 0), (0.1, 0.1), (0.3, 0.3)], "all 3 corners .* lie on one line"),
        ([(0, 0), (0.1, 0), (0.2, 0), (0.2, 0.2)], "corner 2 .* lies on a straight side"),
    ],
)
def test_outlines_that_make_no_plate_are_refused(outline, message):
    with pytest.raises(GeometryError, match=message):
        thin_plate(outline)


def test_a_five_pointed_star_crosses_itself():
    """All its corners turn the same way: only the crossing gives it away."""
    turns = 4 * np.pi / 5 * np.arange(5)
    star = np.column_stack([np.cos(turns), np.sin(turns)])
    with pytest.raises(GeometryError, match="crosses itself"):
        thin_plate(star)


@pytest.mark.parametrize("sizes", [(0.0, 0.5, 0.0), (0.3, np.nan, 0.0), (0.3, 0.5, -0.02)])
def test_plates_of_no_size_are_refused(sizes):
    width, height, thickness = sizes
    with pytest.raises(GeometryError, match="must be positive"):
        plate(width=width, height=height, thickness=thickness)


def test_a_hollow_plate_is_refused_as_a_body_too():
    corners = ((0, 0, 0), (0.2, 0, 0), (0.2, 0.2, 0), (0.15, 0.05, 0))
    with pytest.raises(GeometryError, match="outline is not convex"):
        Body(corners, (Face((0, 1, 2, 3)), Face((3, 2, 1, 0))))
