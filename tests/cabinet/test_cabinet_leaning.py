"""Sloped fronts and truncated pyramids: volumes in closed form, axes, and what is refused."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from acoustics.cabinet import (
    FRONT_EDGES,
    EdgeCut,
    chamfered,
    face_areas,
    face_frame,
    outer_volume,
    sloped_front,
    truncated_pyramid,
)
from acoustics.conventions import GeometryError

SIZES = {"width": 0.2, "height": 0.4, "depth": 0.3}


@pytest.mark.parametrize("degrees", [-12.0, 0.0, 7.0, 25.0])
def test_leaning_about_the_middle_keeps_the_volume(degrees, assert_sound):
    body = sloped_front(**SIZES, lean=math.radians(degrees), hinge="middle")
    assert_sound(body)
    assert outer_volume(body) == pytest.approx(0.2 * 0.4 * 0.3)
    assert face_areas(body)[0] == pytest.approx(0.2 * 0.4 / math.cos(math.radians(degrees)))


@pytest.mark.parametrize("degrees", [-12.0, 7.0, 25.0])
def test_leaning_about_the_bottom_keeps_the_depth_there(degrees, assert_sound):
    slope = math.tan(math.radians(degrees))
    body = sloped_front(**SIZES, lean=math.radians(degrees))
    assert_sound(body)
    assert outer_volume(body) == pytest.approx(0.2 * 0.4 * (0.3 - 0.2 * slope))
    bottom = body.points[body.points[:, 1] < 0, 2]
    assert np.ptp(bottom) == pytest.approx(0.3)


def test_the_cabinet_stays_upright_and_its_front_stays_on_the_origin():
    body = sloped_front(**SIZES, lean=math.radians(10))
    np.testing.assert_allclose(
        body.normals[0], [0, math.sin(math.radians(10)), math.cos(math.radians(10))], atol=1e-12
    )
    np.testing.assert_allclose(face_frame(body, 0).centre, 0.0, atol=1e-12)
    np.testing.assert_allclose(
        body.normals[1:], [[0, 0, -1], [1, 0, 0], [-1, 0, 0], [0, 1, 0], [0, -1, 0]], atol=1e-12
    )


def test_its_edges_can_be_cut(assert_sound):
    body = sloped_front(**SIZES, lean=math.radians(10))
    assert_sound(chamfered(body, [EdgeCut(name, (0.02, 0.02)) for name in FRONT_EDGES]))


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"width": 0.0}, "width must be positive"),
        ({"depth": math.nan}, "depth must be positive"),
        ({"lean": math.radians(45)}, "less than 45°, not 45°"),
        ({"lean": math.nan}, "less than 45°"),
        ({"lean": 0.4, "depth": 0.15}, "leaves a depth of -19.12 mm at the top"),
        ({"lean": 0.4, "depth": 0.08, "hinge": "middle"}, "depth of -4.559 mm at the top"),
        ({"lean": -0.4, "depth": 0.08, "hinge": "middle"}, "depth of -4.559 mm at the bottom"),
        ({"hinge": "top"}, "hinge is"),
    ],
)
def test_slopes_that_cannot_be_are_refused(changes, message):
    with pytest.raises(GeometryError, match=message):
        sloped_front(**(SIZES | {"lean": 0.1} | changes))


def test_leaning_forward_about_the_bottom_adds_depth_above():
    body = sloped_front(**(SIZES | {"depth": 0.05}), lean=-0.4)
    assert np.ptp(body.points[body.points[:, 1] > 0, 2]) == pytest.approx(
        0.05 + 0.4 * math.tan(0.4)
    )


length = st.floats(0.05, 1.0)


@settings(derandomize=True, deadline=None, max_examples=50)
@given(length, length, length, length, length, st.floats(-0.2, 0.2), st.floats(-0.2, 0.2))
def test_truncated_pyramids_are_prismatoids(w, h, v, g, depth, right, up):
    """Volume h/6 (A + 4 M + B) whatever the shift (prismatoid formula, from memory)."""
    body = truncated_pyramid(front=(w, h), back=(v, g), depth=depth, shift=(right, up))
    assert len(body.corners) - len(body.edges) + len(body.faces) == 2
    middle = (w + v) / 2 * (h + g) / 2
    assert outer_volume(body) == pytest.approx(depth / 6 * (w * h + 4 * middle + v * g))
    assert face_areas(body)[:2] == pytest.approx([w * h, v * g])
    np.testing.assert_allclose(face_frame(body, 1).centre, [right, up, -depth], atol=1e-12)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"front": (0.0, 0.2)}, "front width must be positive, not 0 m .*give its corners"),
        ({"back": (0.1, -0.2)}, "back height must be positive"),
        ({"depth": math.inf}, "depth must be positive"),
        ({"shift": (0.0, math.nan)}, "shift must be two numbers"),
    ],
)
def test_pyramids_that_cannot_be_are_refused(changes, message):
    sizes = {"front": (0.1, 0.2), "back": (0.2, 0.3), "depth": 0.2}
    with pytest.raises(GeometryError, match=message):
        truncated_pyramid(**(sizes | changes))
