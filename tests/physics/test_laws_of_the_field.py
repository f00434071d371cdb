"""What must hold for any rigid cabinet, whatever the numbers: laws, not values."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics import Air, Body, Piston, solve_field

BOX = Body.box(width=0.22, height=0.38, depth=0.30)
SMALL = 0.002

SINGLE = 1e-6
"""Sums over edge points are in single precision."""
FREQUENCY = np.array([100.0, 700.0, 3000.0])
AIR = Air(speed_of_sound=343.0, density=1.2)


def solve(body, pistons, receivers, frequency=FREQUENCY, accuracy=0.03):
    return solve_field(
        body, pistons, np.atleast_2d(receivers), frequency, air=AIR, accuracy=accuracy
    ).values


def test_reciprocity_between_two_faces():
    """Swapping a small source and its receiver changes nothing (Rayleigh 1873)."""
    front, side = (0.03, 0.08, 0.0), (0.11, -0.06, -0.12)
    lift = 1e-6
    out = solve(BOX, [Piston(SMALL, front)], [side[0] + lift, *side[1:]], accuracy=0.01)[0, :, 0]
    back = solve(BOX, [Piston(SMALL, side)], [*front[:2], lift], accuracy=0.01)[0, :, 0]
    # 0.02 dB
    assert np.abs(out / back - 1).max() < 2.3e-3


def test_a_symmetric_cabinet_has_a_symmetric_field():
    points = np.array([[0.7, 0.2, 1.0], [1.4, -0.3, -0.5], [0.9, 0.1, 0.0]])
    mirrored = points * [-1, 1, 1]
    field = solve(BOX, [Piston(0.0127, (0.0, 0.1, 0.0))], np.concatenate([points, mirrored]))
    assert np.abs(field[0, :, :3] / field[0, :, 3:] - 1).max() < SINGLE


def test_a_mirrored_layout_has_the_mirrored_field():
    points = np.array([[0.7, 0.2, 1.0], [-1.4, -0.3, -0.5], [0.9, 0.1, 0.0]])
    right = solve(BOX, [Piston(0.0127, (0.045, 0.1, 0.0))], points)
    left = solve(BOX, [Piston(0.0127, (-0.045, 0.1, 0.0))], points * [-1, 1, 1])
    assert np.abs(right / left - 1).max() < SINGLE


def test_scaling_all_lengths_and_the_wavelength():
    """All lengths × s and frequency ÷ s: the pressure of a unit volume acceleration is ÷ s."""
    s = 2.5
    point = np.array([0.6, 0.3, 0.8])
    small = solve(BOX, [Piston(0.02, (0.01, 0.1, 0.0))], point)
    large = solve(
        Body.box(width=0.22 * s, height=0.38 * s, depth=0.30 * s),
        [Piston(0.02 * s, (0.01 * s, 0.1 * s, 0.0))],
        point * s,
        FREQUENCY / s,
    )
    assert np.abs(large * s**2 / small - 1).max() < 1e-6


def test_pistons_do_not_know_of_each_other():
    pistons = [Piston(0.0127, (0.0, 0.1, 0.0)), Piston(0.05, (0.0, -0.06, 0.0))]
    points = np.array([[0.5, 0.1, 2.0], [1.0, 0.0, -1.0]])
    both = solve(BOX, pistons, points)
    for index, alone in enumerate(pistons):
        # They share a grid, so equality is to the accuracy asked for: 0.03 dB.
        assert np.abs(both[index] / solve(BOX, [alone], points)[0] - 1).max() < 3.5e-3


def test_continuous_through_the_plane_of_the_baffle_and_of_a_side():
    step = 0.001
    centre = np.array([0.0, 0.1, 0.0])
    for around in (90.0, 180.0 - np.degrees(np.arctan2(0.11, 0.30))):
        angles = np.radians([around - step, around, around + step])
        ring = centre + 2 * np.stack([np.sin(angles), 0 * angles, np.cos(angles)], axis=1)
        field = solve(BOX, [Piston(0.0127, tuple(centre))], ring)[0]
        axis = solve(BOX, [Piston(0.0127, tuple(centre))], (0.0, 0.1, 2.0))[0]
        # ≤ 0.1 % of the pattern's maximum over ±0.001°
        assert (np.abs(np.diff(field, axis=1)) / np.abs(axis)).max() < 1e-3


def test_far_away_and_slow_it_is_a_point_source():
    """T → 1 at low frequency, far from the cabinet (monopole limit)."""
    f = np.array([20.0])
    directions = np.array([[0, 0, 1], [1, 0, 0], [0, 1, 0], [0, 0, -1], [0.6, 0, -0.8]])
    points = 100.0 * directions
    field = solve(BOX, [Piston(0.0127, (0.0, 0.1, 0.0))], points, f)[0, 0]
    distance = np.linalg.norm(points - [0, 0.1, 0], axis=1)
    free = AIR.density * 2 * np.pi * f[0] / (4 * np.pi * distance)
    assert np.abs(20 * np.log10(np.abs(field) / free)).max() < 0.05


def test_a_vast_baffle_is_an_infinite_one():
    """T → 2 in front of a face much larger than the distance, edges a whole second away."""
    f = np.array([3000.0])
    body = Body.box(width=6.0, height=6.4, depth=0.5)
    point = np.array([0.05, 0.0, 0.15])
    field = solve(body, [Piston(SMALL, (0.0, 0.0, 0.0))], point, f)[0, 0, 0]
    distance = np.linalg.norm(point)
    free = AIR.density * 2 * np.pi * f[0] / (4 * np.pi * distance)
    assert np.abs(field) / free == pytest.approx(2.0, rel=0.02)


def test_power_over_a_sphere_equals_power_at_the_piston():
    """½Re∫v*p dS over the piston is what crosses a sphere round the cabinet (no losses)."""
    piston = Piston(0.03, (0.02, 0.05, 0.0))
    f = np.array([300.0, 1500.0])
    cosines, weights = np.polynomial.legendre.leggauss(24)
    turns = 2 * np.pi * (np.arange(48) + 0.5) / 48
    sines = np.sqrt(1 - cosines**2)
    sphere = np.stack(
        [
            np.outer(sines, np.cos(turns)),
            np.outer(sines, np.sin(turns)),
            np.outer(cosines, np.ones_like(turns)),
        ],
        axis=-1,
    ).reshape(-1, 3)
    radius = 20.0
    far = solve(BOX, [piston], radius * sphere, f)[0]
    area = np.repeat(weights, 48) * 2 * np.pi / 48 * radius**2
    crossing = (np.abs(far) ** 2 @ area) / (AIR.density * AIR.speed_of_sound)
    # Mean pressure over the piston, by Gauss rings just off its surface.
    rings, ring_weights = np.polynomial.legendre.leggauss(8)
    radii = piston.radius * np.sqrt(0.5 * (1 + rings))
    angles = 2 * np.pi * np.arange(12) / 12
    disc = np.stack(
        [np.outer(radii, np.cos(angles)), np.outer(radii, np.sin(angles)), np.zeros((8, 12))],
        axis=-1,
    ).reshape(-1, 3)
    on = solve(BOX, [piston], disc + np.array(piston.centre) + [0, 0, 1e-6], f)[0]
    at_piston = (on @ np.repeat(0.5 * ring_weights / 12, 12)).real
    # 0.05 dB
    assert np.abs(10 * np.log10(crossing / at_piston)).max() < 0.05
