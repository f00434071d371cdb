"""A cabinet on a hard floor and its mirror image as one body."""

from __future__ import annotations

import math

import numpy as np
import pytest

from acoustics.cabinet import (
    BOX_EDGES,
    Body,
    EdgeCut,
    Piston,
    Round,
    RoundedBody,
    chamfered,
    face_named,
    face_of,
    mirrored_in_floor,
    mirrored_piston,
    outer_volume,
    place_on_face,
    rounded,
    sloped_front,
    truncated_pyramid,
)
from acoustics.conventions import GeometryError

FLOOR = -0.19


def is_its_own_image(body: Body, floor: float) -> bool:
    images = body.points * [1, -1, 1] + [0, 2 * floor, 0]
    gaps = np.linalg.norm(body.points[:, None] - images[None], axis=2)
    return bool(gaps.min(axis=1).max() < 1e-12)


def assert_same_planes(body: Body, normals: np.ndarray, offsets: np.ndarray) -> None:
    ours = np.column_stack([body.normals, body.offsets])
    theirs = np.column_stack([normals, offsets])
    apart = np.linalg.norm(ours[:, None] - theirs, axis=2)
    assert len(ours) == len(theirs)
    assert max(apart.min(axis=0).max(), apart.min(axis=1).max()) < 1e-11


def assert_same_solid(one: Body, other: Body) -> None:
    assert_same_planes(one, other.normals, other.offsets)


def test_a_box_becomes_a_box_of_twice_the_height(box, assert_sound):
    body = mirrored_in_floor(box, FLOOR)
    assert_sound(body)
    assert len(body.faces) == 6
    assert np.ptp(body.points, axis=0) == pytest.approx([0.22, 0.76, 0.30])
    assert body.points[:, 1].max() == pytest.approx(0.19)
    np.testing.assert_allclose(body.normals[0], [0, 0, 1], atol=1e-12)


def standing_cabinets() -> dict[str, tuple[Body, float]]:
    box = Body.box(width=0.22, height=0.38, depth=0.30)
    upper = ["front left", "front right", "front top"]
    sizes = {"width": 0.2, "height": 0.4, "depth": 0.3}
    # Bottom level (half of 0.4 m less the shift is half of 0.3 m), top and sides sloping.
    pyramid = truncated_pyramid(front=(0.2, 0.3), back=(0.3, 0.4), depth=0.2, shift=(0.0, 0.05))
    return {
        "chamfered": (chamfered(box, [EdgeCut(name, (0.02, 0.03)) for name in upper]), FLOOR),
        "rounded": (rounded(box, 0.02, upper).with_facets([2] * 3), FLOOR),
        "leaning back": (sloped_front(**sizes, lean=math.radians(8)), -0.2),
        "top and sides at a slope": (pyramid, -0.15),
    }


@pytest.mark.parametrize("name", standing_cabinets())
def test_cabinet_and_image_are_one_body(name, assert_sound):
    cabinet, floor = standing_cabinets()[name]
    body = mirrored_in_floor(cabinet, floor)
    assert_sound(body)
    assert is_its_own_image(body, floor)
    assert outer_volume(body) == pytest.approx(2 * outer_volume(cabinet), rel=1e-12)
    # Every corner that stands above the floor is there still.
    above = cabinet.points[cabinet.points[:, 1] > floor + 1e-9]
    gaps = np.linalg.norm(above[:, None] - body.points[None], axis=2).min(axis=1)
    assert gaps.max() < 1e-12
    np.testing.assert_allclose(body.normals[0], cabinet.normals[0], atol=1e-12)


def test_walls_that_lean_back_meet_their_images_at_twice_the_lean():
    body = mirrored_in_floor(standing_cabinets()["leaning back"][0], -0.2)
    at_floor = [
        angle
        for edge, angle in zip(body.edges, body.wedge_angles, strict=True)
        if np.abs(body.points[[edge.start, edge.end], 1] + 0.2).max() < 1e-9
    ]
    assert np.degrees(at_floor) == pytest.approx([180 + 2 * 8])


@pytest.mark.parametrize(("face", "right", "up"), [("front", 0.03, 0.1), ("left", 0.0, -0.1)])
def test_each_driver_has_its_twin_on_the_body(face, right, up, box):
    body = mirrored_in_floor(box, FLOOR)
    piston = Piston(radius=0.05, centre=place_on_face(box, face, right, up))
    twin = mirrored_piston(piston, FLOOR)
    assert face_of(body, twin) == face_of(body, piston) == face_named(body, face)
    (x, y, z), (a, b, c) = piston.centre, twin.centre
    assert (a, c, twin.radius) == (x, z, 0.05)
    assert (y + b) / 2 == pytest.approx(FLOOR)


def test_twins_of_drivers_on_a_sloped_front_lie_on_its_image():
    cabinet = standing_cabinets()["leaning back"][0]
    body = mirrored_in_floor(cabinet, -0.2)
    piston = Piston(radius=0.05, centre=place_on_face(cabinet, "front", 0.0, 0.1))
    assert face_of(body, piston) == 0
    image = body.normals[face_of(body, mirrored_piston(piston, -0.2))]
    np.testing.assert_allclose(image, cabinet.normals[0] * [1, -1, 1], atol=1e-12)


def test_what_does_not_stand_square_on_the_floor_is_refused(box):
    with pytest.raises(GeometryError, match=r"base lies 10 mm above the floor; put it on"):
        mirrored_in_floor(box, FLOOR - 0.01)
    with pytest.raises(GeometryError, match=r"base lies 10 mm below the floor"):
        mirrored_in_floor(box, FLOOR + 0.01)
    bevelled = chamfered(box, [EdgeCut("front bottom", (0.02, 0.02))])
    with pytest.raises(GeometryError, match=r"looks downward by 45°.* add the floor's reflection"):
        mirrored_in_floor(bevelled, FLOOR)
    forward = sloped_front(width=0.2, height=0.4, depth=0.3, lean=math.radians(-8))
    with pytest.raises(GeometryError, match=r"the front face looks downward by 8°"):
        mirrored_in_floor(forward, -0.2)
    tapering = truncated_pyramid(front=(0.2, 0.3), back=(0.2, 0.2), depth=0.2)
    with pytest.raises(GeometryError, match=r"bottom face is not level"):
        mirrored_in_floor(tapering, -0.15)


def rounded_cabinets() -> dict[str, tuple[RoundedBody, float]]:
    box = Body.box(width=0.22, height=0.38, depth=0.30)
    cut = chamfered(box, [EdgeCut("back top", (0.02, 0.03)), EdgeCut("back left", (0.02, 0.03))])
    leaning = sloped_front(width=0.2, height=0.4, depth=0.3, lean=math.radians(8))
    pyramid = truncated_pyramid(front=(0.2, 0.3), back=(0.3, 0.4), depth=0.2, shift=(0.0, 0.05))
    above = [edge for edge in BOX_EDGES if "bottom" not in edge]
    upper = (Round("front left", 0.02), Round("right front", 0.03), Round("top front", 0.01))
    upper_left = Round("left top", 0.02)
    return {
        "box": (RoundedBody(box, upper), FLOOR),
        "only walls": (RoundedBody(box, upper[:2]), FLOOR),
        "all but the base": (rounded(box, 0.03, above), FLOOR),
        "with edges cut": (RoundedBody(cut, upper), FLOOR),
        "leaning back": (RoundedBody(leaning, (*upper, Round("back left", 0.02))), -0.2),
        "top and sides at a slope": (RoundedBody(pyramid, (*upper, upper_left)), -0.15),
    }


@pytest.mark.parametrize("name", rounded_cabinets())
@pytest.mark.parametrize("facets", [1, 2, 3, 5])
def test_rounding_and_mirroring_may_come_in_either_order(name, facets, assert_sound):
    cabinet, floor = rounded_cabinets()[name]
    joined = mirrored_in_floor(cabinet, floor)
    body = joined.with_facets([facets] * len(joined.rounds))
    assert_sound(body)
    with_facets = cabinet.with_facets([facets] * len(cabinet.rounds))
    assert_same_solid(body, mirrored_in_floor(with_facets, floor))
    assert_same_solid(joined.flat_parts(), mirrored_in_floor(cabinet.flat_parts(), floor))


def test_a_rounded_box_becomes_a_rounded_box_of_twice_the_height(box):
    above = ["front left", "front right", "front top"]
    joined = mirrored_in_floor(rounded(box, 0.02, above), FLOOR)
    tall = rounded(Body.box(width=0.22, height=0.76, depth=0.30), 0.02)
    for wavelength in (1.0, 0.1, 0.02):
        body, other = joined.body(wavelength), tall.body(wavelength)
        # The taller box's middle is in the floor.
        offsets = other.offsets + FLOOR * other.normals[:, 1]
        assert_same_planes(body, other.normals, offsets)


def test_twins_have_their_radius_and_follow_in_order():
    leaning = sloped_front(width=0.2, height=0.4, depth=0.3, lean=math.radians(8))
    rounds = (Round("front left", 0.02), Round("back left", 0.03), Round("front top", 0.01))
    assert mirrored_in_floor(RoundedBody(leaning, rounds), -0.2).rounds == (
        Round("upper front left", 0.02),
        Round("back left", 0.03),
        Round("front top", 0.01),
        Round("lower front left", 0.02),
        Round("front bottom", 0.01),
    )


def test_a_rounded_edge_of_the_base_is_refused(box):
    message = (
        r"edge bottom front: rounded at the base, .* leave this edge sharp .*, or let it stand"
    )
    with pytest.raises(GeometryError, match=message):
        mirrored_in_floor(rounded(box, 0.02, ["front left", "bottom front"]), FLOOR)
    with pytest.raises(GeometryError, match="base lies 10 mm above the floor"):
        mirrored_in_floor(rounded(box, 0.02, ["front left"]), FLOOR - 0.01)
    leaning = sloped_front(width=0.2, height=0.4, depth=0.3, lean=math.radians(8))
    with pytest.raises(GeometryError, match="edge upper front left: its mirror image has no name"):
        mirrored_in_floor(rounded(leaning, 0.02, ["upper front left"]), -0.2)


def test_a_driver_in_the_base_is_refused():
    with pytest.raises(GeometryError, match="nowhere to radiate"):
        mirrored_piston(Piston(radius=0.05, centre=(0.0, FLOOR, -0.1)), FLOOR)
