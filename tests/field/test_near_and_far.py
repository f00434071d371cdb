"""On axis from 0.1 to 100 m, and close to the plane of the baffle.

Reference: the same equations on much finer rules (a check of the quadrature, not of the
physics; the physics is checked against boundary elements and exact solutions).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics import Body, Piston
from acoustics.field.block import Problem, solve_block
from acoustics.field.grid import edge_table
from acoustics.field.piston import place_source
from acoustics.field.resolution import TIERS, resolution_for

BODY = Body.box(width=0.22, height=0.38, depth=0.30)
TWEETER = Piston(0.0127, (0.0, 0.1, 0.0))
SPEED_OF_SOUND = 343.0


def problem(receivers, *pistons):
    sources = tuple(place_source(BODY, piston) for piston in pistons or (TWEETER,))
    return Problem(BODY, edge_table(BODY), sources, np.asarray(receivers, dtype=float))


def solve(task, frequency, resolution):
    wavenumber = np.array([2 * np.pi * frequency / SPEED_OF_SOUND])
    return solve_block(task, wavenumber, resolution).pressure


@pytest.mark.slow
@pytest.mark.parametrize("frequency", [50.0, 200.0, 1000.0, 5000.0])
def test_on_axis_against_ten_times_as_many_points(frequency):
    task = problem([[0, 0.1, z] for z in (0.1, 0.3, 1.0, 3.0, 10.0, 30.0, 100.0)])
    used = resolution_for(0.03)
    finer = replace(
        used,
        least_points=10 * used.least_points,
        per_wavelength=10 * used.per_wavelength,
        extra_points=10 * used.extra_points,
        update=used.update / 100,
    )
    ratio = solve(task, frequency, used) / solve(task, frequency, finer)
    assert np.abs(20 * np.log10(np.abs(ratio))).max() <= 0.05


@pytest.mark.parametrize("frequency", [100.0, 1000.0, 5000.0])
def test_beside_the_baffle_to_a_ten_thousandth_of_a_degree(frequency):
    degrees = 90 + np.array([-10, -5, -1, -0.1, -1e-2, -1e-4, 0, 1e-4, 1e-2, 0.1, 1, 5, 10])
    angles = np.radians(degrees)
    points = [[2 * np.sin(a), 0.1, 2 * np.cos(a)] for a in angles]
    points += [[0, 0.1 + 2 * np.sin(a), 2 * np.cos(a)] for a in angles]
    task = problem(points)
    used, fine = solve(task, frequency, resolution_for(0.03)), solve(task, frequency, TIERS[0.003])
    assert np.abs(20 * np.log10(np.abs(used / fine))).max() <= 0.05


def test_error_falls_with_the_rules():
    task = problem([[0.3, 0.2, -1.5], [2.0, 0.1, 0.1], [0.0, 0.1, 2.0]])
    base = TIERS[0.003]
    truth = solve(task, 100.0, base)
    rules = [
        replace(base, least_points=points, extra_points=0, tolerance=limit, sight=limit)
        for points, limit in ((8, 1e-2), (8, 1e-4), (20, 1e-9))
    ]
    errors = [np.abs(solve(task, 100.0, each) / truth - 1).max() for each in rules]
    assert errors[0] < 3e-3
    assert errors[1] < errors[0] / 2
    assert errors[2] < errors[1] / 4


@pytest.mark.parametrize("frequency", [1000.0])
@pytest.mark.parametrize("point", [[100.0, 0.1], [1.5, 0.3], [-0.2, 0.1]])
def test_continuous_through_the_plane_of_the_front_to_a_nanometre(point, frequency):
    steps = np.array([-1e-6, -5e-9, -1.2e-9, -1e-10, 0.0, 1e-10, 1.2e-9, 5e-9, 1e-6])
    task = problem([[*point, z] for z in steps], Piston(0.0127, (0.02, 0.1, 0.0)))
    level = 20 * np.log10(np.abs(solve(task, frequency, resolution_for(0.03))[0, 0]))
    assert np.ptp(level) < 0.03


@pytest.mark.parametrize("frequency", [100.0, 1000.0, 8000.0])
def test_smooth_beside_the_extension_of_an_edge(frequency):
    steps = np.array([0.0, 3e-9, 7e-8, 7e-7, 7e-6, 1e-4])
    points = [[0.11 + step, 1.0, 0.0] for step in steps] + [[0.11, 1.0, step] for step in steps]
    task = problem(points, Piston(0.0127, (0.02, 0.1, 0.0)))
    level = 20 * np.log10(np.abs(solve(task, frequency, resolution_for(0.03))[0, 0]))
    assert np.ptp(level) < 0.05


def test_a_driver_close_to_an_edge_lets_the_sound_die_out_before_it_stops():
    """Many small panels near the driver must not end the sweeps early."""
    angles = np.radians(np.arange(-80, 81, 20))
    near_edge = Piston(0.0127, (0.11 - 0.0127 - 2e-4, 0.1, 0.0))
    points = [[0.1 + 2 * np.sin(a), 0.1, 2 * np.cos(a)] for a in angles]
    task = problem(points, near_edge)
    used, fine = solve(task, 500.0, resolution_for(0.1)), solve(task, 500.0, TIERS[0.01])
    assert np.abs(20 * np.log10(np.abs(used / fine))).max() < 0.05
