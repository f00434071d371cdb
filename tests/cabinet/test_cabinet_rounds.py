"""Rounded edges: facets that cut off what the arc does, and what stays flat."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from acoustics.cabinet import (
    BOX_EDGES,
    Body,
    Piston,
    Round,
    RoundedBody,
    edge_distances,
    face_areas,
    face_named,
    face_of,
    facets_needed,
    outer_volume,
    rounded,
    sloped_front,
)
from acoustics.cabinet.cut_edges import cut_edges
from acoustics.cabinet.rounds import facet_planes, facet_radius
from acoustics.conventions import GeometryError

VOLUME = 0.22 * 0.38 * 0.30


@pytest.mark.parametrize("facets", [1, 2, 3, 4, 8])
def test_facets_cut_off_what_a_quarter_circle_does(facets, box, assert_sound):
    """(1 - π/4) r² of the cross-section: a square less a quarter of a circle."""
    body = rounded(box, 0.02, ["front left"]).with_facets([facets])
    assert_sound(body)
    lost = (VOLUME - outer_volume(body)) / 0.38
    assert lost == pytest.approx((1 - math.pi / 4) * 0.02**2, rel=1e-9)
    turns = np.degrees(body.wedge_angles) - 180
    assert np.sum(np.isclose(turns, 90 / (facets + 1))) == facets + 1


@pytest.mark.parametrize("lean", [-20.0, 20.0])
@pytest.mark.parametrize("facets", [1, 3])
def test_so_do_facets_on_an_edge_that_is_not_square(lean, facets):
    """Two tangents r tan(Θ/2) long less a sector: r² (tan(Θ/2) - Θ/2)."""
    base = sloped_front(width=0.2, height=0.4, depth=0.3, lean=math.radians(lean), hinge="middle")
    body = rounded(base, 0.02, ["front top"]).with_facets([facets])
    turn = math.radians(90 - lean)
    lost = (outer_volume(base) - outer_volume(body)) / 0.2
    assert lost == pytest.approx(0.02**2 * (math.tan(turn / 2) - turn / 2), rel=1e-9)


def test_facets_and_faces_touch_one_circle(box):
    normals, offsets = facet_planes(box, Round("front left", 0.02), 3)
    radius = facet_radius(0.02, 3)
    centre = np.array([-0.11 + radius, 0.0, -radius])
    np.testing.assert_allclose(offsets - normals @ centre, radius, rtol=1e-12)
    # From the front face to the left one, in equal turns.
    np.testing.assert_allclose(
        np.degrees(np.arccos(normals @ [0, 0, 1])), [22.5, 45, 67.5], rtol=1e-12
    )


def test_more_facets_come_nearer_to_the_arc():
    radii = [facet_radius(1.0, count) for count in (1, 2, 3, 10, 100)]
    assert radii == sorted(radii, reverse=True)
    assert radii[-1] == pytest.approx(1.0, abs=1e-4)
    # The closed form worked by hand for one facet: sqrt(0.214602 / 0.171573).
    assert radii[0] == pytest.approx(1.118388, abs=1e-6)


@pytest.mark.parametrize("facets", [1, 2, 3, 4])
def test_corners_of_the_front_are_mitred(facets, box, assert_sound):
    body = rounded(box, 0.02).with_facets([facets] * 4)
    assert_sound(body)
    assert len(body.faces) == 6 + 4 * facets
    assert len(body.corners) == 8 + 4 * facets
    setback = facet_radius(0.02, facets) * (1 - math.tan(math.pi / 4 / (facets + 1)))
    assert face_areas(body)[0] == pytest.approx((0.22 - 2 * setback) * (0.38 - 2 * setback))


def test_all_twelve_edges_and_unequal_radii(box, assert_sound):
    assert_sound(rounded(box, 0.03, BOX_EDGES).with_facets([3] * 12))
    mixed = RoundedBody(box, (Round("front left", 0.02), Round("front top", 0.0199)))
    for counts in ((1, 1), (2, 1), (3, 3)):
        assert_sound(mixed.with_facets(counts))


@settings(derandomize=True, deadline=None, max_examples=30)
@given(
    st.floats(0.002, 0.1),
    st.lists(st.sampled_from(BOX_EDGES), min_size=1, max_size=12, unique=True),
    st.integers(1, 4),
)
def test_what_fits_on_the_flat_parts_fits_whatever_the_facets(radius, edges, facets):
    box = Body.box(width=0.22, height=0.38, depth=0.30)
    item = rounded(box, radius, edges)
    flat, body = item.flat_parts(), item.with_facets([facets] * len(edges))
    for face in range(6):
        np.testing.assert_allclose(flat.normals[face], body.normals[face], atol=1e-9)
        for corner in flat.faces[face].corners:
            assert edge_distances(body, face, flat.points[corner]).min() > -1e-9


def test_the_front_stays_flat_but_for_the_radius(box):
    def flat_front(item):
        flat = item.flat_parts()
        return flat.points[list(flat.faces[0].corners)]

    front = flat_front(rounded(box, 0.02))
    np.testing.assert_allclose(np.abs(front), [[0.09, 0.17, 0.0]] * 4, atol=1e-12)
    one_side = flat_front(rounded(box, 0.02, ["front left"]))
    assert (one_side[:, 0].min(), one_side[:, 0].max()) == pytest.approx((-0.09, 0.11))


def test_a_driver_must_fit_on_the_flat_part(box):
    item = rounded(box, 0.02)
    piston = Piston(radius=0.0398, centre=(0.05, 0.0, 0.0))
    assert face_of(item.flat_parts(), piston) == face_named(box, "front")
    with pytest.raises(GeometryError, match="crosses an edge"):
        face_of(item.flat_parts(), Piston(radius=0.0401, centre=(0.05, 0.0, 0.0)))


def test_facets_follow_the_wavelength():
    """The rule of FACET_ERROR and FACET_LIMIT, by calculation against six facets; no source."""
    radius = 0.02
    ratios = (0.01, 0.16, 0.18, 0.31, 0.33, 0.9, 1.1, 5.0)
    found = [facets_needed(radius, radius / ratio) for ratio in ratios]
    assert found == [1, 1, 2, 2, 2, 2, 4, 4]
    fine = [facets_needed(radius, radius / 0.16, accuracy) for accuracy in (0.1, 0.03, 0.01)]
    assert fine == [1, 2, 4]


def test_each_edge_gets_facets_for_its_own_radius(box):
    item = RoundedBody(box, (Round("front left", 0.05), Round("front top", 0.005)))
    assert item.facets(wavelength=0.11) == (2, 1)
    assert len(item.body(wavelength=0.11).faces) == 9
    assert len(item.body(wavelength=0.1, accuracy=0.01).faces) == 11


@pytest.mark.parametrize(
    ("rounds", "message"),
    [
        ([], "at least one edge"),
        ([Round("front left", 0.0)], "front left: the radius must be positive, not 0 m"),
        ([Round("front left", math.nan)], "front left: the radius must be positive"),
        ([Round("front middle", 0.01)], "no edge is called"),
        ([Round("front left", 0.01), Round("left front", 0.02)], "cut twice"),
        (
            [Round("front left", 0.11), Round("front right", 0.11)],
            "front left and front right leave nothing of the front face",
        ),
        ([Round("front left", 0.25)], "cut on front left leaves nothing of the front face"),
    ],
)
def test_rounds_that_cannot_be_are_refused(rounds, message, box):
    with pytest.raises(GeometryError, match=message):
        RoundedBody(box, tuple(rounds))


def test_corners_are_those_of_the_body(box):
    def rows(points):
        return np.array(sorted(map(tuple, np.round(points, 9) + 0.0)))

    for edges in (["front left"], BOX_EDGES):
        body = rounded(box, 0.02, edges)
        whole = body.with_facets([8] * len(edges)).points
        np.testing.assert_allclose(rows(body.corners(8)), rows(whole), rtol=0, atol=2e-9)


def test_facets_that_meet_in_an_edge_of_micrometres_are_moved_apart():
    box = Body.box(width=0.2, height=0.4, depth=0.3)
    rounds = (Round("front left", 0.020), Round("front top", 0.035), Round("top left", 0.025))
    cuts = {item.edge: facet_planes(box, item, 8) for item in rounds}
    with pytest.raises(GeometryError, match="an edge of only"):
        cut_edges(box, cuts)
    body = RoundedBody(box, rounds)
    corners = body.corners(8)
    assert np.ptp(corners, axis=0) == pytest.approx([0.2, 0.4, 0.3])
    # Their radii move by thousandths: micrometres of the wood.
    assert np.abs(body.with_facets([8] * 3).heights_above_faces(corners).max(axis=1)).max() < 1e-4
    # Three facets for the same arcs stand within a millimetre of them.
    assert body.with_facets([3] * 3).heights_above_faces(corners).max() < 1e-3
