"""The field of a piston at many places at once, against the same places solved one by one.

Reference: `solve_field`, held to boundary elements and exact solutions elsewhere, and `FaceField`,
which is the same sum over the edges without the lattice.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics import Body, GeometryError, Piston, face_field, solve_field
from acoustics.cabinet import (
    EdgeCut,
    chamfered,
    dome,
    face_frame,
    mirrored_in_floor,
    outlined_plate,
    plate,
    rounded,
)
from acoustics.field.places import OneByOne, field_at_places, nodes_between

BOX = Body.box(width=0.20, height=0.30, depth=0.25)
BODIES = {
    "box": BOX,
    "chamfered": chamfered(
        BOX, [EdgeCut("front left", (0.03, 0.02)), EdgeCut("front top", (0.02, 0.01))]
    ),
    "rounded": rounded(BOX, 0.02, ("front left", "front right")),
    "plate": plate(width=0.20, height=0.30),
    "on the floor": mirrored_in_floor(BOX, -0.15),
}
RECEIVERS = np.array(
    [
        [0.0, 0.1, 2.0],
        [1.0, 0.1, 1.7],
        [-0.3, 0.5, -1.5],
        [0.02, -1.2, 2.4],
        [2.0, 0.0, 0.0],  # in the front's plane
        [0.3, 0.1, 0.05],  # hears a direct sound that is not smooth over the face
    ]
)
FREQUENCY = np.array([9000.0, 150.0, 2500.0])
RADIUS = 0.0127
RIGHT, UP = np.linspace(-0.05, 0.05, 6), np.linspace(-0.1, 0.1, 7)


def frame_of(body):
    return face_frame(body if isinstance(body, Body) else body.base, 0)


def seeded(rows, columns, count):
    rng = np.random.default_rng(5)
    return [(int(rng.integers(rows)), int(rng.integers(columns))) for _ in range(count)]


def pistons_at(piston, frame, right, up, spots):
    return [replace(piston, centre=frame.point(right[i], up[j])) for j, i in spots]


def by_place(field):
    return field.transpose("piston", "receiver", "frequency").values


def levels_apart(one, other):
    """dB, where the level is within 20 dB of the pattern's maximum at equal distance."""
    size = np.abs(other) * np.linalg.norm(RECEIVERS[: other.shape[1]], axis=1)[:, None]
    counts = size > 0.1 * size.max(axis=1, keepdims=True)
    return np.abs(20 * np.log10(np.abs(one / other)))[counts].max()


@pytest.mark.parametrize("name", BODIES)
def test_every_place_is_solved_as_by_itself(name):
    body, piston = BODIES[name], Piston(RADIUS, (0.0, 0.05, 0.0))
    frame = frame_of(BOX)
    heard = face_field(body, 0, RECEIVERS, FREQUENCY)
    found = field_at_places(heard, piston, frame, RIGHT, UP).rows(slice(None))
    assert found.shape == (UP.size, RIGHT.size, len(RECEIVERS), FREQUENCY.size)
    spots = [(0, 0), (6, 5), *seeded(UP.size, RIGHT.size, 4)]
    pistons = pistons_at(piston, frame, RIGHT, UP, spots)
    chosen = np.array([found[spot] for spot in spots])
    assert levels_apart(chosen, by_place(heard.field(pistons))) < 0.01
    forward = by_place(solve_field(body, pistons, RECEIVERS, FREQUENCY))
    assert levels_apart(chosen, forward) < 0.05


def test_it_holds_up_to_the_edges():
    """The rim 2 mm from an edge, and from two."""
    right, up = (np.linspace(-1, 1, 9) * (half - RADIUS - 2e-3) for half in (0.10, 0.15))
    piston, frame, receivers = Piston(RADIUS, (0.0, 0.0, 0.0)), frame_of(BOX), RECEIVERS[[0, 1, 3]]
    heard = face_field(BOX, 0, receivers, FREQUENCY)
    found = field_at_places(heard, piston, frame, right, up).rows(slice(None))
    spots = [(0, 0), (8, 4), (4, 8), (7, 1)]
    pistons = pistons_at(piston, frame, right, up, spots)
    chosen = np.array([found[spot] for spot in spots])
    assert levels_apart(chosen, by_place(heard.field(pistons))) < 0.005
    truth = by_place(solve_field(BOX, pistons, receivers, FREQUENCY))
    assert levels_apart(chosen, truth) < 0.05


def test_domes_large_pistons_other_faces_and_single_rows():
    """At the finer rules hardly anything may be left of the lattice."""
    top = next(n for n, normal in enumerate(BOX.normals) if normal[1] > 0.5)
    frame, receivers = face_frame(BOX, top), RECEIVERS[:4]
    piston = Piston(0.04, frame.point(0.0, 0.0), dome(0.012, 0.04))
    right, up = np.linspace(-0.05, 0.04, 4), np.array([0.02, 0.05])
    heard = face_field(BOX, top, receivers, FREQUENCY, accuracy=0.01)
    places = field_at_places(heard, piston, frame, right, up)
    spots = [(j, i) for j in range(2) for i in range(4)]
    exact = by_place(heard.field(pistons_at(piston, frame, right, up, spots)))
    found = places.rows(slice(None))
    np.testing.assert_allclose(
        found.reshape(exact.shape), exact, rtol=0, atol=3e-4 * np.abs(exact).max()
    )
    # Products of other sizes may round otherwise.
    np.testing.assert_allclose(places.rows(slice(1, 2)), found[1:], rtol=1e-5, atol=1e-3)
    alone = field_at_places(heard, piston, frame, right[2:3], up[:1]).rows(slice(None))
    np.testing.assert_allclose(alone[0, 0], found[0, 2], rtol=0, atol=3e-4 * np.abs(exact).max())


def test_the_back_of_a_plate_in_the_coordinates_of_its_front():
    body = BODIES["plate"]
    frame, piston = frame_of(BOX), Piston(RADIUS, (0.0, 0.0, 0.0), face=1)
    heard = face_field(body, 1, RECEIVERS[:4], FREQUENCY)
    found = field_at_places(heard, piston, frame, RIGHT, UP).rows(slice(None))
    spots = seeded(UP.size, RIGHT.size, 4)
    exact = by_place(heard.field(pistons_at(piston, frame, RIGHT, UP, spots)))
    assert levels_apart(np.array([found[spot] for spot in spots]), exact) < 0.01


def test_a_face_of_another_shape_is_gone_through_place_by_place():
    outline = [(-0.12, -0.15), (0.12, -0.15), (0.06, 0.15), (-0.06, 0.15)]
    body = outlined_plate(outline, 0.02)
    frame, piston = face_frame(body, 0), Piston(RADIUS, (0.0, 0.0, 0.0))
    heard = face_field(body, 0, RECEIVERS[:2], FREQUENCY)
    with pytest.raises(GeometryError, match="no rectangle"):
        field_at_places(heard, piston, frame, RIGHT, UP)
    there = np.abs(RIGHT) + 0 * UP[:, None] < 0.04
    found = OneByOne(heard, piston, frame, RIGHT, UP, there).rows(slice(2, 4))
    assert np.isnan(found[:, 0]).all()
    spots = [(2, 2), (3, 3)]
    exact = by_place(heard.field(pistons_at(piston, frame, RIGHT, UP, spots)))
    np.testing.assert_allclose(np.array([found[0, 2], found[1, 3]]), exact, rtol=1e-6)


def test_refusals_and_progress():
    seen = []
    heard = face_field(BOX, 0, RECEIVERS[:1], FREQUENCY)
    piston, frame = Piston(RADIUS, (0.0, 0.0, 0.0)), frame_of(BOX)
    field_at_places(heard, piston, frame, RIGHT, UP, lambda done, of: seen.append((done, of)))
    assert seen[-1][0] == seen[-1][1] == len(seen)
    with pytest.raises(GeometryError, match="touches or crosses an edge"):
        field_at_places(heard, piston, frame, np.linspace(-0.09, 0.0, 3), UP)


def test_a_lattice_carries_the_wave_it_is_laid_for():
    """Waves of every direction along the face, and a source just beyond its end."""
    from acoustics.field.places import carried

    for wavenumber, room in ((366.0, 0.03), (20.0, 0.03), (366.0, 0.002)):
        nodes = nodes_between(-0.1, 0.1, wavenumber, room)
        places = np.linspace(-0.1, 0.1, 301)
        between = carried(nodes, places)
        for share in (-1.0, -0.4, 0.0, 0.7, 1.0):
            wave = np.exp(1j * wavenumber * share * nodes)
            off = between @ wave - np.exp(1j * wavenumber * share * places)
            assert np.abs(off).max() < 1e-3
        near = np.sqrt(0.1 + room - nodes) * np.exp(1j * wavenumber * nodes)
        off = between @ near - np.sqrt(0.1 + room - places) * np.exp(1j * wavenumber * places)
        assert np.abs(off).max() < 1e-3
