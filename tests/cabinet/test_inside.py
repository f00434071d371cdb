"""Volumes and depths inside walls, against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest

from acoustics.cabinet import (
    EdgeCut,
    body_from_corners,
    chamfered,
    inner_depths,
    inner_volume,
    rounded,
    sloped_front,
    truncated_pyramid,
    walled,
)


def test_of_a_box_every_size_loses_two_walls(box):
    # 184 mm x 344 mm x 264 mm
    assert inner_volume(box, 0.018) == pytest.approx(0.184 * 0.344 * 0.264, rel=1e-12)
    assert inner_volume(box, 0.0) == pytest.approx(0.22 * 0.38 * 0.30, rel=1e-12)


@pytest.mark.parametrize("wall", [0.11, 0.12, 0.2])
def test_walls_as_thick_as_half_the_box_leave_nothing(box, wall):
    assert inner_volume(box, wall) == 0.0


@pytest.mark.parametrize("degrees", [-10.0, 8.0, 20.0])
def test_a_sloped_front_is_a_prism(degrees):
    # Cross-section from the side: a trapezium whose front is moved in square to itself, by
    # wall/cos(lean) along the depth; level at the mean height of what is inside.
    width, height, depth, wall = 0.2, 0.4, 0.3, 0.018
    lean = math.radians(degrees)
    body = sloped_front(width=width, height=height, depth=depth, lean=lean)
    half_way = depth - height / 2 * math.tan(lean)
    mean = half_way - wall / math.cos(lean) - wall
    expected = mean * (height - 2 * wall) * (width - 2 * wall)
    assert inner_volume(body, wall) == pytest.approx(expected, rel=1e-12)


def test_a_pyramid_is_a_frustum():
    # Frustum: d/3·(A + B + √(AB)), square faces. The sides lean by s = (back - front)/(2d) per m of
    # depth, so a side moved in square to itself moves by wall·√(1 + s²) across.
    front, back, depth, wall = 0.16, 0.28, 0.3, 0.015
    body = truncated_pyramid(front=(front, front), back=(back, back), depth=depth)
    slope = (back - front) / (2 * depth)
    across = wall * math.sqrt(1 + slope**2)
    near = front + 2 * (slope * wall - across)
    far = back - 2 * (slope * wall + across)
    expected = (depth - 2 * wall) / 3 * (near**2 + far**2 + near * far)
    assert inner_volume(body, wall) == pytest.approx(expected, rel=1e-12)


def test_chamfers_come_inside_where_the_corner_is_thinner_than_the_wall(box):
    # The plane at 45° moved in by the wall t cuts the inside's corner by 2 - √2 times t less.
    wall, setback = 0.018, 0.04
    body = chamfered(box, [EdgeCut("front left", (setback, setback))])
    inner = setback - (2 - math.sqrt(2)) * wall
    lost = inner_volume(box, wall) - inner_volume(body, wall)
    assert lost == pytest.approx(inner**2 / 2 * (0.38 - 2 * wall), rel=1e-9)
    shallow = chamfered(box, [EdgeCut("front left", (0.01, 0.01))])
    assert inner_volume(shallow, wall) == pytest.approx(inner_volume(box, wall), rel=1e-12)


def test_rounds_leave_the_inside_square_until_they_are_thicker_than_the_wall(box):
    wall = 0.018
    square = inner_volume(box, wall)
    small = walled(rounded(box, 0.015, ["front left", "front right"]))
    assert inner_volume(small, wall) == pytest.approx(square, rel=1e-12)
    # A wall of even thickness behind a round of radius r leaves one of r - t inside, which takes
    # (1 - π/4)(r - t)² off the corner; one facet is close to it.
    large = walled(rounded(box, 0.06, ["front left"]))
    lost = (1 - math.pi / 4) * (0.06 - wall) ** 2 * (0.38 - 2 * wall)
    assert square - inner_volume(large, wall) == pytest.approx(lost, rel=0.1)


def test_a_body_without_rounds_is_its_own_walls(box):
    assert walled(box) is box


def test_depth_behind_a_face_ends_at_the_opposite_wall(box):
    points = np.array([[0.0, 0.0, 0.0], [0.05, -0.1, 0.0]])
    assert inner_depths(box, 0.018, 0, points) == pytest.approx([0.282, 0.282], rel=1e-12)
    assert inner_depths(box, 0.0, 0, points) == pytest.approx([0.3, 0.3], rel=1e-12)


def test_depth_beside_a_wall_is_none(box):
    # 110 mm from the middle to the side, whose wall is 18 mm thick: 92 mm is just free.
    points = np.array([[0.092, 0.0, 0.0], [0.093, 0.0, 0.0]])
    free, walled_up = inner_depths(box, 0.018, 0, points)
    assert free == pytest.approx(0.282)
    assert np.isnan(walled_up)


def test_depth_behind_the_back_of_a_sloped_front_grows_downward():
    lean, wall = math.radians(10.0), 0.02
    body = sloped_front(width=0.2, height=0.4, depth=0.3, lean=lean)
    back = int(np.argmin(body.normals[:, 2]))
    (z,) = {round(float(body.points[corner, 2]), 12) for corner in body.faces[back].corners}
    heights = np.array([-0.1, 0.1])
    points = np.column_stack([np.zeros(2), heights, np.full(2, z)])
    depths = inner_depths(body, wall, back, points)
    low, high = depths
    assert low - high == pytest.approx(0.2 * math.tan(lean), rel=1e-12)
    bottom = float(body.points[:, 1].min())
    at_height = 0.3 - (heights - bottom) * math.tan(lean)
    assert depths == pytest.approx(at_height - wall / math.cos(lean), rel=1e-9)


def test_a_tetrahedron_shrinks_about_its_inscribed_sphere():
    # Moved in by t, every length goes as 1 - t/r, r = a/√24 the inscribed sphere's radius.
    side = 0.5
    corners = np.array([[1, 1, 1], [1, -1, -1], [-1, 1, -1], [-1, -1, 1]]) * side / math.sqrt(8)
    body = body_from_corners(corners.tolist())
    whole, radius = side**3 / math.sqrt(72), side / math.sqrt(24)
    assert inner_volume(body, 0.02) == pytest.approx(whole * (1 - 0.02 / radius) ** 3, rel=1e-9)
