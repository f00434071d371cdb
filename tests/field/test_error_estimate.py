"""The error estimate against the actual error, on bodies drawn at random.

Reference: the same equations on the finest rules (a check of the quadrature; the physics is
checked against boundary elements and exact solutions).
"""

from __future__ import annotations

import numpy as np
import pytest
import xarray as xr

from acoustics import Body, Piston, solve_field
from acoustics.cabinet import EdgeCut, chamfered, plate
from acoustics.field.estimate import largest_error

FINEST = 0.003
DIRECTIONS = 12
BODIES = 60


def draw_body(rng):
    """A cabinet of usual size, the width of its front left for a driver (m)."""
    width, height, depth = rng.uniform(0.15, 0.35), rng.uniform(0.2, 0.5), rng.uniform(0.15, 0.35)
    kind = rng.choice(["box", "box", "tower", "slab", "chamfer", "plate"])
    if kind == "plate":
        return plate(width=width, height=height), width, height
    if kind == "tower":
        height = rng.uniform(0.8, 1.1)
    if kind == "slab":
        depth = rng.uniform(0.01, 0.04)
    box = Body.box(width=width, height=height, depth=depth)
    if kind == "chamfer":
        cut = rng.uniform(0.01, 0.04)
        cuts = [EdgeCut("front left", (cut, cut)), EdgeCut("front right", (cut, cut))]
        return chamfered(box, cuts), width - 2 * cut, height
    return box, width, height


def draw_task(rng):
    """(body, pistons, receivers, frequency): each of them at random."""
    body, width, height = draw_body(rng)
    radius = min(rng.choice([0.0127, 0.04, 0.06]), 0.35 * width)
    room = np.array([width, height]) / 2 - radius - rng.uniform(0.004, 0.03)
    centre = (*map(float, rng.uniform(-1, 1, 2) * np.maximum(room, 0.0)), 0.0)
    towards = rng.normal(size=(DIRECTIONS, 3))
    towards /= np.linalg.norm(towards, axis=1)[:, None]
    receivers = towards * 10 ** rng.uniform(-0.1, 1.5, DIRECTIONS)[:, None]
    receivers[0, 2] = 0.0  # in the plane of the front
    receivers = receivers[body.heights_above_faces(receivers).max(axis=1) > 1e-3]
    frequency = 10 ** rng.uniform(np.log10(50), np.log10(5000))
    return body, [Piston(float(radius), centre)], receivers, np.array([frequency])


@pytest.mark.slow
def test_it_is_honest_and_not_timid():
    """In 95 of 100 the error is below its estimate, which is at most ten times it in the median."""
    rng = np.random.default_rng(20)
    actual, estimate = [], []
    for index in range(BODIES):
        task = draw_task(rng)
        field = solve_field(*task, accuracy=(0.1, 0.03, 0.01)[index % 3])
        truth = solve_field(*task, accuracy=FINEST)
        actual.append(np.abs(20 * np.log10(np.abs(field.values / truth.values))).ravel())
        estimate.append(field.error_estimate.values.ravel())
    actual, estimate = np.concatenate(actual), np.concatenate(estimate)
    assert actual.size >= 200
    assert np.mean(actual <= estimate) >= 0.95
    assert np.median(estimate / np.maximum(actual, 1e-9)) <= 10.0


@pytest.mark.parametrize("accuracy", [0.1, 0.03, 0.01])
def test_the_target_is_met_in_front_of_a_bookshelf_cabinet(accuracy):
    body = Body.box(width=0.22, height=0.38, depth=0.30)
    pistons = [Piston(0.0127, (0.0, 0.1, 0.0)), Piston(0.06, (0.0, -0.06, 0.0))]
    angles = np.radians(np.arange(-75, 76, 15))
    points = np.stack([2 * np.sin(angles), 0.1 + 0 * angles, 2 * np.cos(angles)], axis=1)
    frequency = np.array([100.0, 900.0, 4000.0])
    field = solve_field(body, pistons, points, frequency, accuracy=accuracy)
    truth = solve_field(body, pistons, points, frequency, accuracy=FINEST)
    error = np.abs(20 * np.log10(np.abs(field.values / truth.values)))
    size = np.abs(truth.values)
    counts = size >= size.max(axis=-1, keepdims=True) / 10
    assert error[counts].max() <= accuracy


def field_of(pressure, estimate, z):
    """A field of one piston at the origin and one frequency, receivers along its axis."""
    return xr.DataArray(
        np.array([[pressure]], dtype=complex),
        dims=("piston", "frequency", "receiver"),
        coords={
            "frequency": [1000.0],
            "error_estimate": (("piston", "frequency", "receiver"), np.array([[estimate]])),
            "x": ("receiver", np.zeros(len(z))),
            "y": ("receiver", np.zeros(len(z))),
            "z": ("receiver", np.asarray(z, dtype=float)),
            **{f"piston_{axis}": ("piston", [0.0]) for axis in "xyz"},
        },
    )


def test_the_largest_error_leaves_out_nulls():
    field = field_of([1.0, 0.5, 0.09], [0.01, 0.02, 3.0], [1.0, 1.0, 1.0])
    assert largest_error(field).dims == ("frequency",)
    assert largest_error(field).item() == 0.02


def test_a_near_receiver_does_not_make_nulls_of_far_ones():
    field = field_of([20.0, 0.02, 0.02], [0.01, 0.01, 0.08], [0.05, 50.0, 50.0])
    assert largest_error(field).item() == 0.08
