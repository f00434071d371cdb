"""Bodies from their corners: solids of known angles, rounded corners, and what is refused."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import ConvexHull

from acoustics.cabinet import (
    BOX_EDGES,
    Body,
    EdgeCut,
    body_from_corners,
    chamfered,
    face_named,
    outer_volume,
    rounded,
)
from acoustics.cabinet.hull import FLATNESS
from acoustics.conventions import GeometryError

CUBE = [tuple(0.1 * s for s in signs) for signs in product((-1, 1), repeat=3)]
GOLDEN = (1 + 5**0.5) / 2

# Dihedral angles of the regular solids: arccos 1/3, 90°, arccos -1/3, arccos -1/√5
# (Coxeter, Regular Polytopes, 1973, table I; here as exterior angles).
SOLIDS = {
    "tetrahedron": ([(1, 1, 1), (1, -1, -1), (-1, 1, -1), (-1, -1, 1)], 4, 70.528779),
    "cube": (list(product((-1, 1), repeat=3)), 6, 90.0),
    "octahedron": (
        [(1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0), (0, 0, 1), (0, 0, -1)],
        8,
        109.471221,
    ),
    "dodecahedron": (
        [
            *product((-1, 1), repeat=3),
            *((0, s / GOLDEN, t * GOLDEN) for s, t in product((-1, 1), repeat=2)),
            *((s / GOLDEN, t * GOLDEN, 0) for s, t in product((-1, 1), repeat=2)),
            *((s * GOLDEN, 0, t / GOLDEN) for s, t in product((-1, 1), repeat=2)),
        ],
        12,
        116.565051,
    ),
}


@pytest.mark.parametrize("name", SOLIDS)
def test_regular_solids_have_their_faces_and_angles(name, assert_sound):
    corners, faces, dihedral = SOLIDS[name]
    body = body_from_corners(0.1 * np.array(corners, dtype=float))
    assert_sound(body)
    assert len(body.faces) == faces
    np.testing.assert_allclose(np.degrees(body.wedge_angles), 360 - dihedral, atol=1e-5)


def test_a_box_comes_back_from_its_corners_in_any_order(box):
    rng = np.random.default_rng(5)
    body = body_from_corners(rng.permutation(box.points))
    assert outer_volume(body) == pytest.approx(0.22 * 0.38 * 0.30)
    np.testing.assert_allclose(body.normals[0], [0, 0, 1], atol=1e-12)
    assert {len(face.corners) for face in body.faces} == {4}


@settings(derandomize=True, deadline=None, max_examples=40)
@given(st.integers(0, 10**6), st.integers(4, 30))
def test_random_corners_give_qhulls_volume(seed, count):
    rng = np.random.default_rng(seed)
    points = rng.normal(size=(count, 3))
    points *= 0.2 / np.linalg.norm(points, axis=1)[:, None]
    hull = ConvexHull(points)
    body = body_from_corners(points)
    assert len(body.corners) - len(body.edges) + len(body.faces) == 2
    # Corners that happen to lie within a tenth of a millimetre of a plane are moved into it.
    assert outer_volume(body) == pytest.approx(hull.volume, abs=FLATNESS * hull.area)
    assert np.abs(body.points - points).max() < 2 * FLATNESS


def bodies_to_round() -> dict[str, Body]:
    box = Body.box(width=0.22, height=0.38, depth=0.30)
    cuts = [
        EdgeCut("front left", (0.0, 0.0), (0.05, 0.03)),
        EdgeCut("front right", (0.0, 0.0), (0.05, 0.03)),
        EdgeCut("top left", (0.011, 0.017)),
        EdgeCut("back bottom", (0.02, 0.013), (0.04, 0.026)),
    ]
    return {
        "askew cuts": chamfered(box, cuts),
        "rounded front": rounded(box, 0.02).with_facets((3,) * 4),
        "rounded all over": rounded(box, 0.03, BOX_EDGES).with_facets((2,) * 12),
    }


@pytest.mark.parametrize("name", bodies_to_round())
@pytest.mark.parametrize("decimals", [6, 5, 4])  # m: to a thousandth, hundredth, tenth of a mm
def test_corners_given_in_rounded_numbers_keep_their_flat_faces(name, decimals, assert_sound):
    body = bodies_to_round()[name]
    given_corners = np.round(body.points + np.array([1.23e-5, 4.56e-5, 0.0]), decimals)
    again = body_from_corners(given_corners)
    assert_sound(again)
    assert len(again.faces) == len(body.faces)
    assert np.abs(again.points - given_corners).max() < 2 * 10.0**-decimals
    front = again.points[list(again.faces[0].corners)]
    # The front face was exact: it stays where it is.
    np.testing.assert_allclose(front[:, 2], 0.0, atol=1e-9)


def test_a_fold_that_can_be_meant_stays():
    lifted = [(x, y, z + (2e-3 if (x, y, z) == CUBE[-1] else 0.0)) for x, y, z in CUBE]
    assert len(body_from_corners(lifted).faces) > 6


def test_corner_numbers_are_kept():
    body = body_from_corners(CUBE)
    np.testing.assert_allclose(body.points, CUBE, atol=1e-12)
    assert face_named(body, "front") == 0


@pytest.mark.parametrize(
    ("corners", "message"),
    [
        (CUBE[:3], "at least four corners, not 3"),
        ([*CUBE, (0.1, 0.1)], r"corner 9 of 9 must be three numbers .* not \(0.1, 0.1\)"),
        ([("a", 0, 0), *CUBE], r"corner 1 of 9 must be three numbers .* not \('a', 0, 0\)"),
        ([(None, 0, 0), *CUBE], "corner 1 of 9 must be three numbers"),
        ([*CUBE, 0.1], "corner 9 of 9 must be three numbers .* not 0.1"),
        ([*CUBE, ([0], 0, 0)], "corner 9 of 9 must be three numbers"),
        ([(np.nan, 0.0, 0.0), *CUBE], "corner 1 of 9 must be three numbers"),
        ([*CUBE, CUBE[2]], "corners 3 and 9 of 9 are both at"),
        ([*CUBE, tuple(x + 1e-6 for x in CUBE[2])], "corners 3 and 9 of 9 are both at"),
        ([(x, y, 0.0) for x, y, z in CUBE if z > 0], "lie in one plane .* give it a thickness"),
        ([(x, y, 1e-5 * x * y) for x, y, z in CUBE if z > 0], "lie in one plane"),
        ([(0.1 * k, 0.2 * k, 0.0) for k in range(5)], "lie in one plane"),
        ([*CUBE, (0.0, 0.0, 0.07)], r"corner 9 of 9, at \(0, 0, 0.07\) m, lies 30 mm inside"),
        ([*CUBE, (0.0, 0.0, 0.1)], "corner 9 of 9.* lies inside a flat face"),
        ([*CUBE, (0.0, 0.02, 0.10003)], "corner 9 of 9.* lies inside a flat face"),
        ([*CUBE, (0.0, 0.1, 0.1)], "corner 9 of 9.* lies on an edge"),
        ([*CUBE, (0.0, 0.10003, 0.10003)], "corner 9 of 9.* lies on an edge"),
    ],
)
def test_corners_that_make_no_body_are_refused(corners, message):
    with pytest.raises(GeometryError, match=message):
        body_from_corners(corners)


def test_an_l_shaped_cabinet_is_refused_with_what_to_do():
    outline = [(0.0, 0.0), (0.2, 0.0), (0.2, 0.1), (0.1, 0.1), (0.1, 0.3), (0.0, 0.3)]
    corners = [(x, y, z) for x, y in outline for z in (0.0, -0.2)]
    message = r"corner 7 of 12, at \(0.1, 0.1, 0\) m, .* hollow there, .* only the convex part"
    with pytest.raises(GeometryError, match=message):
        body_from_corners(corners)
