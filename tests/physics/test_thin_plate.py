"""A driver on one face of a thin plate: the part of its field that is even does not see the plate.

p(x, y, z) + p(x, y, −z) = 2 p_free, and p = p_free in the plate's plane beside it, for any outline
at any frequency (symmetry; the values of tests/reference/infinite_wedge.json for 360 degrees and
of tests/reference/thin_disc.json bear it out). p_free is the driver's sound without the plate.
"""

from __future__ import annotations

import numpy as np
import pytest

from acoustics import Air, Body, GeometryError, Piston, solve_field
from acoustics.cabinet import plate, thin_plate

AIR = Air(speed_of_sound=343.0, density=1.2)
FREQUENCY = np.array([60.0, 500.0, 1700.0, 5000.0])
PLATE = plate(width=0.30, height=0.45)
PISTON = Piston(0.05, (0.03, -0.06, 0.0))
FRONT = np.array(
    [[0.0, 0.1, 2.0], [0.6, 0.3, 0.2], [0.10, 0.15, 0.05], [1.5, -0.5, 0.01], [0.03, -0.06, 0.005]]
)
BESIDE = np.array([[0.5, 0.5, 0.0], [0.16, 0.0, 0.0], [0.0, -3.0, 0.0], [-0.15, 0.7, 0.0]])
TOLERANCE = 1e-3


def solve(body, pistons, points, frequency=FREQUENCY, accuracy=0.01):
    return solve_field(body, pistons, points, frequency, air=AIR, accuracy=accuracy).values


def free_field(piston, points):
    """Sound of a piston's area without a plate, (frequency, receiver), by a fine sum."""
    part = np.sqrt((np.arange(400) + 0.5) / 400)
    turns = 2 * np.pi * (np.arange(200) + 0.5) / 200
    ring = np.stack([np.outer(part, np.cos(turns)), np.outer(part, np.sin(turns))], axis=-1)
    area = np.concatenate([ring.reshape(-1, 2), np.zeros((part.size * turns.size, 1))], axis=1)
    away = np.array(
        [np.linalg.norm(p - piston.centre - piston.radius * area, axis=1) for p in points]
    )
    omega = 2 * np.pi * FREQUENCY[:, None]
    waves = [(np.exp(-1j * w / AIR.speed_of_sound * away) / away).mean(axis=1) for w in omega[:, 0]]
    return 1j * omega * AIR.density / (4 * np.pi) * np.array(waves)


def test_front_and_back_add_to_twice_the_free_field():
    back = FRONT * [1, 1, -1]
    both = solve(PLATE, [PISTON], np.concatenate([FRONT, back]))[0]
    total, free = both[:, : len(FRONT)] + both[:, len(FRONT) :], free_field(PISTON, FRONT)
    assert np.abs(total / (2 * free) - 1).max() <= TOLERANCE


def test_free_field_in_the_plane_beside_the_plate():
    found = solve(PLATE, [PISTON], BESIDE)[0]
    assert np.abs(found / free_field(PISTON, BESIDE) - 1).max() <= TOLERANCE


def test_a_driver_that_sounds_from_both_sides_in_opposite_phase_is_silent_in_the_plane():
    both_sides = [PISTON, Piston(PISTON.radius, PISTON.centre, face=1)]
    field = solve(PLATE, both_sides, np.concatenate([BESIDE, FRONT[:1]]))
    together = np.abs(field[0] - field[1])
    alone = np.abs(field[0])
    assert (together[:, :-1] / alone[:, :-1]).max() <= 2 * TOLERANCE
    assert (together[:, -1] > 0.1 * alone[:, -1]).all()


def test_the_rear_face_is_the_front_face_seen_from_behind():
    behind = Piston(PISTON.radius, PISTON.centre, face=1)
    points = np.concatenate([FRONT, BESIDE])
    front, back = solve(PLATE, [PISTON], points), solve(PLATE, [behind], points * [1, 1, -1])
    assert np.abs(back / front - 1).max() <= TOLERANCE


def test_a_very_thin_box_comes_close_to_a_plate():
    points = FRONT[:2]
    thin = solve(PLATE, [PISTON], points, FREQUENCY[:3], 0.03)
    box = Body.box(width=0.30, height=0.45, depth=0.002)
    assert np.abs(solve(box, [PISTON], points, FREQUENCY[:3], 0.03) / thin - 1).max() <= 0.02


def test_the_outline_may_run_either_way_round():
    corners = [(-0.15, -0.2), (0.15, -0.2), (0.1, 0.25), (-0.1, 0.2)]
    one = solve(thin_plate(corners), [PISTON], FRONT[:2], FREQUENCY[:2], 0.1)
    other = solve(thin_plate(corners[::-1]), [PISTON], FRONT[:2], FREQUENCY[:2], 0.1)
    assert np.abs(one / other - 1).max() <= 1e-9


@pytest.mark.parametrize(
    ("receiver", "message"),
    [([0.15, 0.1, 0.0], "on an edge"), ([0.1, 0.225, 5e-5], "on an edge")],
)
def test_receivers_on_its_edge_are_refused(receiver, message):
    with pytest.raises(GeometryError, match=message):
        solve(PLATE, [PISTON], [receiver], FREQUENCY[:1], 0.1)
