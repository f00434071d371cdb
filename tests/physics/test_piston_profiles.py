"""Domes, cones, rings and radial profiles: direct sound against a brute-force Rayleigh sum.

Rayleigh's integral over the face, every ring with its own velocity and heard later by its own
depth (Kates, J. Audio Eng. Soc. 25, 1977, 735; from memory): a sum over 1600 rings of 180 points.
"""

from __future__ import annotations

import numpy as np
import pytest

from acoustics import Body, GeometryError, Piston, solve_field
from acoustics.cabinet import FLAT, Profile, annulus, cone, dome
from acoustics.field.piston import Source, direct_sound, source_points

RADIUS = 0.03
K = 2 * np.pi * np.array([100.0, 3000.0, 12_000.0, 20_000.0]) / 343.0
POINTS = np.array(
    [[0, 0, 0.03], [0.01, 0.02, 0.03], [0.0, 0.1, 0.05], [0.5, 0, 2.0], [1, 1, 0.2], [0, 0, 3.0]]
)
PROFILES = {
    "flat": FLAT,
    "dome": dome(0.008, RADIUS),
    "concave dome": dome(-0.008, RADIUS),
    "cone": cone(0.015, RADIUS),
    "cone with a cap": cone(0.012, RADIUS, 0.01),
    "ring": annulus(0.012, RADIUS),
    "surround": Profile((0.0, 0.75, 1.0), (1.0, 1.0, 0.0), (0.0, 0.0, 0.0)),
    "ring of many velocities": Profile((0.25, 0.5, 0.75, 1), (0, 1, -0.5, 2), (0, 4e-3, 4e-3, 0)),
}
by_profile = pytest.mark.parametrize("profile", PROFILES.values(), ids=PROFILES.keys())


def source(profile, radius=RADIUS):
    up, plane = np.array([0.0, 0.0, 1.0]), np.eye(3)[:2]
    return Source(np.zeros(3), radius, 0, up, plane, 1e3, profile)


def direct(profile, radius=RADIUS):
    return direct_sound(source(profile, radius), POINTS, np.ones(len(POINTS), bool), K)


def rayleigh_sum(velocity, depth, inner=0.0):
    """2 ∫ v·exp(−jk(R + depth))/R dA over ∫ v dA, (receiver, frequency)."""
    part = inner + (1 - inner) * (np.arange(1600) + 0.5) / 1600
    turns = 2 * np.pi * (np.arange(180) + 0.5) / 180
    v, late = velocity(part) * part, depth(part)
    ring = np.stack([np.outer(part, np.cos(turns)), np.outer(part, np.sin(turns))], axis=-1)
    total = []
    for x, y, z in POINTS:
        away = np.sqrt(((RADIUS * ring - [x, y]) ** 2).sum(axis=-1) + z**2)
        rings = [(np.exp(-1j * k * away) / away).mean(axis=1) * np.exp(-1j * k * late) for k in K]
        total.append(2 * np.array(rings) @ v / v.sum())
    return np.array(total)


@by_profile
def test_against_a_rayleigh_sum(profile):
    brute = rayleigh_sum(
        lambda part: np.interp(part, profile.radii, profile.velocity),
        lambda part: np.interp(part, profile.radii, profile.depth),
        profile.radii[0],
    )
    found = direct(profile)
    assert (np.abs(found - brute) <= 1e-4 * np.abs(brute).max(axis=1, keepdims=True)).all()


def test_a_dome_is_a_spherical_cap():
    height = 0.008
    ball = (RADIUS**2 + height**2) / (2 * height)
    brute = rayleigh_sum(
        np.ones_like, lambda part: ball - height - np.sqrt(ball**2 - (RADIUS * part) ** 2)
    )
    error = np.abs(direct(dome(height, RADIUS)) / brute - 1)
    # Its depth is straight between 17 radii: less than 0.02 dB up to 12 kHz at 60 mm across.
    assert error[:, :3].max() <= 2e-3


def test_a_ring_is_the_difference_of_two_discs():
    inner = 0.012
    share = (inner / RADIUS) ** 2
    found = direct(annulus(inner, RADIUS)) * (1 - share)
    expected = direct(FLAT) - share * direct(FLAT, inner)
    np.testing.assert_allclose(found, expected, rtol=1e-10, atol=1e-10)


def test_a_profile_all_but_flat_sounds_like_the_flat_piston():
    almost = Profile((0.0, 0.5, 1.0), (1.0, 1.0, 1.0), (0.0, 1e-12, 0.0))
    assert not almost.flat
    np.testing.assert_allclose(direct(almost), direct(FLAT), rtol=1e-6)


def test_only_the_ratio_of_velocities_counts():
    one, three = (Profile((0, 0.5, 1), (v, v, 0), (0, 1e-3, 0)) for v in (1.0, 3.0))
    np.testing.assert_allclose(direct(one), direct(three), rtol=1e-12)


@by_profile
def test_its_points_count_for_one_and_average_as_it_moves(profile):
    light = source_points(source(profile), K[-1], 1e-5)
    assert light.weights.sum() == pytest.approx(1.0, abs=1e-9)
    # A far receiver straight ahead hears the mean over the piston.
    sine = 0.6
    wave = np.exp(1j * K[-1] * (sine * light.points[:, 0] - light.depths))
    far = np.array([[1e4 * sine, 0.0, 1e4 * np.sqrt(1 - sine**2)]])
    heard = direct_sound(source(profile), far, np.ones(1, bool), K[-1:])[0, 0]
    straight = heard * 1e4 * np.exp(1j * K[-1] * 1e4) / 2
    assert abs((light.weights * wave).sum() - straight) <= 1e-3


def test_depth_does_not_matter_to_long_waves():
    box = Body.box(width=0.22, height=0.38, depth=0.30)
    points = np.array([[0.0, 0.1, 2.0], [1.4, 0.1, -1.0]])
    shapes = [Piston(RADIUS, (0.0, 0.1, 0.0), p) for p in (FLAT, dome(0.008, RADIUS))]
    field = solve_field(box, shapes, points, np.array([50.0]), accuracy=0.03).values
    assert np.abs(np.abs(field[1] / field[0]) - 1).max() <= 3e-3


def test_a_ring_on_a_cabinet_is_the_difference_of_two_pistons():
    """Edges included, not the direct sound alone."""
    box = Body.box(width=0.22, height=0.38, depth=0.30)
    points = np.array([[0.0, 0.1, 2.0], [1.0, 0.4, 1.0], [1.4, 0.1, -1.0], [0.0, 0.1, 0.02]])
    inner, centre = 0.012, (0.02, 0.1, 0.0)
    pistons = [Piston(RADIUS, centre, annulus(inner, RADIUS))]
    pistons += [Piston(size, centre) for size in (RADIUS, inner)]
    ring, whole, core = solve_field(box, pistons, points, np.array([500.0, 5000.0])).values
    share = (inner / RADIUS) ** 2
    np.testing.assert_allclose(ring * (1 - share), whole - share * core, rtol=1e-3)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: cone(0.05, RADIUS), "horns and waveguides"),
        (lambda: dome(0.04, RADIUS), "horns and waveguides"),
        (lambda: cone(0.01, RADIUS, 0.03), "cap"),
        (lambda: annulus(0.03, RADIUS), "inner radius"),
        (lambda: annulus(0.0, RADIUS), "inner radius"),
        (lambda: Profile((0.0, 0.9), (1, 1), (0, 0)), "ascending"),
        (lambda: Profile((0.0, 0.5, 0.5, 1.0), (1,) * 4, (0,) * 4), "ascending"),
        (lambda: Profile((0.0, 1.0), (1, 1, 1), (0, 0)), "two or more of each"),
        (lambda: Profile((0.0, 1.0), (np.nan, 1), (0, 0)), "finite"),
        (lambda: Profile((0.0, 1.0), (0, 0), (0, 0)), "move air"),
        (lambda: Profile((0.0, 1.0), (2, -1), (0, 0)), "move air"),
    ],
)
def test_profiles_that_cannot_be(make, message):
    with pytest.raises(GeometryError, match=message):
        make()
