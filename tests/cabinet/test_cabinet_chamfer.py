"""Chamfers: volumes in closed form, angles, tapering cuts, and cuts that take too much."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from acoustics.cabinet import (
    BOX_EDGES,
    FRONT_EDGES,
    Body,
    EdgeCut,
    chamfered,
    edge_named,
    face_areas,
    outer_volume,
)
from acoustics.conventions import GeometryError

VOLUME = 0.22 * 0.38 * 0.30
LENGTHS = {"left": 0.22, "right": 0.22, "top": 0.38, "bottom": 0.38, "front": 0.30, "back": 0.30}


def length_of(name: str) -> float:
    """The edge of the box runs along the axis that neither of its two faces looks along."""
    (rest,) = {0.22, 0.38, 0.30} - {LENGTHS[word] for word in name.split()}
    return rest


@pytest.mark.parametrize("name", BOX_EDGES)
def test_one_cut_takes_a_wedge_off(name, box, assert_sound):
    body = chamfered(box, [EdgeCut(name, (0.02, 0.035))])
    assert_sound(body)
    assert len(body.faces) == 7
    wedge = 0.02 * 0.035 / 2 * length_of(name)
    assert outer_volume(body) == pytest.approx(VOLUME - wedge, rel=1e-12)
    # The cut reaches as far on each face as it was told to.
    _, (first, second) = edge_named(box, name)
    lost = face_areas(box)[:6] - face_areas(body)[:6]
    assert lost[first] == pytest.approx(0.02 * length_of(name))
    assert lost[second] == pytest.approx(0.035 * length_of(name))


def test_names_read_either_way(box):
    one = chamfered(box, [EdgeCut("top left", (0.02, 0.035))])
    other = chamfered(box, [EdgeCut("left top", (0.035, 0.02))])
    np.testing.assert_allclose(one.normals, other.normals, atol=1e-12)


def test_a_bevel_round_the_front_is_a_truncated_pyramid_on_a_box(box, assert_sound):
    """Prismatoid formula h/6 (A + 4 M + B), from memory."""
    c, w, h, d = 0.025, 0.22, 0.38, 0.30
    body = chamfered(box, [EdgeCut(name, (c, c)) for name in FRONT_EDGES])
    assert_sound(body)
    frustum = c / 6 * (w * h + 4 * (w - c) * (h - c) + (w - 2 * c) * (h - 2 * c))
    assert outer_volume(body) == pytest.approx(w * h * (d - c) + frustum, rel=1e-12)
    assert (len(body.faces), len(body.edges)) == (10, 20)
    angles = np.degrees(body.wedge_angles)
    # Front and sides against bevels: 225°. Mitres: normals at 60° to each other.
    assert np.sum(np.isclose(angles, 225)) == 8
    assert np.sum(np.isclose(angles, 240)) == 4
    assert np.sum(np.isclose(angles, 270)) == 8


def test_faces_keep_their_places(box):
    body = chamfered(box, [EdgeCut("front left", (0.02, 0.02)), EdgeCut("back top", (0.01, 0.01))])
    np.testing.assert_allclose(body.normals[:6], box.normals, atol=1e-12)
    np.testing.assert_allclose(body.normals[6], [-(0.5**0.5), 0, 0.5**0.5], atol=1e-12)
    np.testing.assert_allclose(body.normals[7], [0, 0.5**0.5, -(0.5**0.5)], atol=1e-12)


@pytest.mark.parametrize("name", BOX_EDGES)
def test_a_cut_that_runs_out_takes_a_pyramid_off(name, box, assert_sound):
    """A third of base times height: a b / 2 · L / 3."""
    body = chamfered(box, [EdgeCut(name, (0.0, 0.0), (0.04, 0.06))])
    assert_sound(body)
    pyramid = 0.04 * 0.06 / 6 * length_of(name)
    assert outer_volume(body) == pytest.approx(VOLUME - pyramid, rel=1e-12)


@pytest.mark.parametrize(
    ("name", "far_end"),
    [
        ("front left", (-0.11, 0.19, 0.0)),
        ("back right", (0.11, 0.19, -0.3)),
        ("front top", (0.11, 0.19, 0.0)),
        ("back bottom", (0.11, -0.19, -0.3)),
        ("top left", (-0.11, 0.19, -0.3)),
        ("bottom right", (0.11, -0.19, -0.3)),
    ],
)
def test_far_is_the_top_the_right_or_the_back_end(name, far_end, box):
    body = chamfered(box, [EdgeCut(name, (0.01, 0.01), (0.05, 0.05))])
    nearest = np.linalg.norm(body.points - far_end, axis=1).min()
    assert nearest == pytest.approx(0.05, rel=1e-9)


@settings(derandomize=True, deadline=None, max_examples=60)
@given(
    st.lists(st.sampled_from(BOX_EDGES), min_size=1, max_size=12, unique=True),
    st.lists(st.floats(0.005, 0.05), min_size=48, max_size=48),
)
def test_any_set_of_cuts_makes_a_sound_body(names, sizes):
    box = Body.box(width=0.22, height=0.38, depth=0.30)
    cuts = []
    for index, name in enumerate(names):
        one, other, taper, _ = sizes[4 * index : 4 * index + 4]
        cuts.append(EdgeCut(name, (one, other), (one * taper / 0.05, other * taper / 0.05)))
    try:
        body = chamfered(box, cuts)
    except GeometryError as error:
        # Three cuts that happen to meet almost in a point.
        assert "gets an edge of only" in str(error)  # noqa: PT017
        return
    assert len(body.corners) - len(body.edges) + len(body.faces) == 2
    assert len(body.faces) == 6 + len(names)
    most = sum(cut.setbacks[0] * cut.setbacks[1] / 2 * length_of(cut.edge) for cut in cuts)
    assert VOLUME - most <= outer_volume(body) < VOLUME


def test_no_cuts_leave_the_body_alone(box):
    assert chamfered(box, []) is box


def cut(edge, *setbacks):
    return EdgeCut(edge, *setbacks)


@pytest.mark.parametrize(
    ("cuts", "message"),
    [
        ([cut("front lift", (0.01, 0.01))], "no edge is called 'front lift'; name the two faces"),
        ([cut("front", (0.01, 0.01))], "no edge is called 'front'"),
        ([cut("front back", (0.01, 0.01))], "front and back faces of this body do not meet"),
        ([cut("front left", (0.01, 0.01)), cut("front left", (0.02, 0.02))], "cut twice"),
        ([cut("front left", (0.01, 0.01)), cut("left front", (0.02, 0.02))], "cut twice"),
        ([cut("front left", (0.01, -0.01))], "none negative, not 10 mm and -10 mm"),
        ([cut("front left", (0.01, np.inf))], "none negative, not 10 mm and inf mm"),
        ([cut("front left", (0.01, 0.0))], "10 mm and 0 mm cut nothing off"),
        ([cut("front left", (0.0, 0.0))], "setbacks of 0 cut nothing off"),
        (
            [cut("front left", (0.02, 0.02), (0.03, 0.02))],
            "twisted.* a flat cut has 30 mm there, not 20 mm",
        ),
        (
            [cut("front left", (0.15, 0.02)), cut("front right", (0.10, 0.02))],
            "cuts on front left and front right leave nothing of the front face",
        ),
        (
            [cut("front left", (0.12, 0.02)), cut("front right", (0.10, 0.02))],
            "cuts on front left and front right leave nothing of the front face",
        ),
        ([cut("front left", (0.02, 0.3))], "cut on front left leaves nothing of the left face"),
        (
            [cut("front left", (0.15, 0.15), (0, 0)), cut("front right", (0.1, 0.1), (0, 0))],
            "cuts on front left and front right leave nothing of the edge between the front face "
            "and the bottom face",
        ),
        (
            [
                cut("front left", (0.001, 0.001)),
                cut("front top", (0.25, 0.25), (0.01, 0.01)),
                cut("front bottom", (0.25, 0.25), (0.01, 0.01)),
            ],
            "cuts on front top and front bottom leave nothing of the cut on front left",
        ),
        (
            [cut("front left", (0.219995, 0.02))],
            "front face gets an edge of only 0.005 mm where it meets",
        ),
    ],
)
def test_cuts_that_cannot_be_are_refused(cuts, message, box):
    with pytest.raises(GeometryError, match=message):
        chamfered(box, cuts)


def test_cuts_that_leave_no_body_are_refused():
    slab = Body.box(width=0.2, height=0.2, depth=0.2)
    cuts = [cut(name, (0.25, 0.25)) for name in ("front left", "back right")]
    with pytest.raises(GeometryError, match="front left and back right leave nothing of the body"):
        chamfered(slab, cuts)
