"""On axis from 0.1 to 100 m, close to the plane of the baffle, and the error estimate's honesty.

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
from acoustics.field.solve import _level_difference

BODY = Body.box(width=0.22, height=0.38, depth=0.30)
TWEETER = Piston(0.0127, (0.0, 0.1, 0.0))
SPEED_OF_SOUND = 343.0


def problem(receivers, *pistons):
    sources = tuple(place_source(BODY, piston) for piston in pistons or (TWEETER,))
    return Problem(BODY, edge_table(BODY), sources, np.asarray(receivers, dtype=float))


def solve(task, frequency, resolution):
    return solve_block(task, np.array([2 * np.pi * frequency / SPEED_OF_SOUND]), resolution)[:, 0]


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


@pytest.mark.slow
@pytest.mark.parametrize("frequency", [100.0, 900.0, 4000.0, 16000.0])
@pytest.mark.parametrize("accuracy", [0.1, 0.03, 0.01])
def test_the_error_estimate_tells_the_size_of_the_error(frequency, accuracy):
    angles = np.radians(np.arange(-175, 181, 5))
    task = problem(
        [[2 * np.sin(a), 0.1, 2 * np.cos(a)] for a in angles]
        + [[0, 0.1 + 2 * np.sin(a), 2 * np.cos(a)] for a in angles],
        TWEETER,
        Piston(0.06, (0.0, -0.06, 0.0)),
    )
    used = resolution_for(accuracy)
    solved = solve(task, frequency, used)
    error = _level_difference(solve(task, frequency, TIERS[0.003]), solved)
    estimate = _level_difference(solved, solve(task, frequency, used.coarser()))
    # An estimate, not a bound: it may fall short by a fifth, not by more.
    assert error <= max(1.2 * estimate, 0.001)
    assert error <= accuracy


def test_error_falls_with_the_number_of_points():
    task = problem([[0.3, 0.2, -1.5], [2.0, 0.1, 0.1], [0.0, 0.1, 2.0]])
    truth = solve(task, 500.0, TIERS[0.003])
    base = TIERS[0.003]
    errors = [
        np.abs(solve(task, 500.0, replace(base, least_points=n, extra_points=0)) / truth - 1).max()
        for n in (3, 6, 12)
    ]
    # A smooth integrand under Gauss rules: better than second order in the number of points.
    assert errors[1] < errors[0] / 4
    assert errors[2] < errors[1] / 4
