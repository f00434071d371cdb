"""Bodies from planes: the order of faces, exactness, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from acoustics.cabinet import body_from_corners, body_from_planes, outer_volume
from acoustics.conventions import GeometryError

AXES = [(0, 0, 1), (0, 0, -1), (1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0)]
REACH = [0.0, 0.3, 0.11, 0.11, 0.19, 0.19]


def test_six_planes_make_the_box(box):
    body = body_from_planes(AXES, REACH)
    np.testing.assert_allclose(body.normals, AXES, atol=1e-12)
    assert sorted(np.round(body.corners, 12).tolist()) == sorted(box.points.tolist())


def test_normals_may_have_any_length():
    body = body_from_planes(np.array(AXES) * 5.0, np.array(REACH) * 5.0)
    assert outer_volume(body) == pytest.approx(0.22 * 0.38 * 0.30)


def test_planes_that_bound_nothing_are_left_out():
    body = body_from_planes([*AXES, (1, 1, 0), (1, 0, 0)], [*REACH, 1.0, 0.11])
    assert len(body.faces) == 6


@settings(derandomize=True, deadline=None, max_examples=40)
@given(st.integers(0, 10**6), st.integers(1, 12))
def test_planes_and_corners_agree(seed, count):
    """Tangent planes of a sphere round a box's planes; the corners found make the same body."""
    rng = np.random.default_rng(seed)
    ways = rng.normal(size=(count, 3))
    ways /= np.linalg.norm(ways, axis=1)[:, None]
    body = body_from_planes([*AXES, *ways], [0.15] * 6 + [0.16] * count)
    assert len(body.corners) - len(body.edges) + len(body.faces) == 2
    ends = np.array([[edge.start, edge.end] for edge in body.edges])
    lengths = np.linalg.norm(body.points[ends[:, 0]] - body.points[ends[:, 1]], axis=1)
    assume(lengths.min() > 2e-3)  # else a face may be too thin to be meant by its corners
    again = body_from_corners(body.corners)
    assert len(again.faces) == len(body.faces)
    assert outer_volume(again) == pytest.approx(outer_volume(body), rel=1e-9)


@pytest.mark.parametrize(
    ("normals", "offsets", "message"),
    [
        (AXES[:3], REACH[:3], "at least four planes"),
        (AXES, REACH[:5], "at least four planes"),
        ([*AXES, (0, 0, 0)], [*REACH, 0.1], r"not \(0, 0, 0\)"),
        (AXES, [np.inf, *REACH[1:]], "finite"),
        (AXES[:5], REACH[:5], r"open toward \(0, -1, 0\)"),
        (AXES[:4], REACH[:4], "normals all lie in one plane"),
        (AXES, [-0.4, *REACH[1:]], "no inside"),
        (AXES, [-0.3, *REACH[1:]], "no inside"),
        ([(0, 0, 1), *AXES], [0.1, *REACH], "front plane .* bounds nothing"),
        ([*AXES, (1, 0, 1)], [*REACH, 0.11 - 5e-6], "gets an edge of only 0.007 mm where it meets"),
    ],
)
def test_planes_that_make_no_body_are_refused(normals, offsets, message):
    with pytest.raises(GeometryError, match=message):
        body_from_planes(normals, offsets)
