"""The error estimate against the actual error, on bodies drawn at random.

Reference: the same equations on the finest rules (a check of the quadrature; the physics is
checked against boundary elements and exact solutions).
"""

from __future__ import annotations

import numpy as np
import pytest
import xarray as xr

from acoustics import Body, Piston, solve_field
from acoustics.cabinet import (
    EdgeCut,
    body_from_corners,
    chamfered,
    edge_distances,
    mirrored_in_floor,
    plate,
    rounded,
    sloped_front,
    truncated_pyramid,
)
from acoustics.field.estimate import largest_error

FINEST = 0.003
DIRECTIONS = 9
BODIES = 66
LEAST_MARGIN = 0.003
"""m from a driver's rim to the edges of its face"""

LEAST_TURN = np.radians(8.0)

KINDS = ("box", "tower", "slab", "chamfer", "facets", "pyramid", "slope", "hull", "plate", "floor")


def draw_body(rng, kind):
    """A cabinet of usual size; its front is face 0."""
    width, height, depth = rng.uniform(0.15, 0.35), rng.uniform(0.2, 0.5), rng.uniform(0.15, 0.35)
    box = Body.box(
        width=width,
        height=rng.uniform(0.8, 1.1) if kind == "tower" else height,
        depth=rng.uniform(0.01, 0.04) if kind == "slab" else depth,
    )
    sides = ("front left", "front right")
    if kind == "plate":
        return plate(width=width, height=height)
    if kind == "chamfer":
        return chamfered(box, [EdgeCut(edge, tuple(rng.uniform(0.01, 0.04, 2))) for edge in sides])
    if kind == "facets":
        return rounded(box, rng.uniform(0.008, 0.03), sides).with_facets(rng.integers(1, 3, 2))
    if kind == "pyramid":
        return truncated_pyramid(
            front=(0.7 * width, 0.7 * height), back=(width, height), depth=depth
        )
    if kind == "slope":
        lean = np.radians(rng.uniform(5, 20))
        return sloped_front(width=width, height=height, depth=max(depth, 0.2), lean=lean)
    if kind == "hull":
        directions = rng.normal(size=(8, 3))
        directions /= np.linalg.norm(directions, axis=1)[:, None]
        return body_from_corners(directions * [0.15, 0.2, 0.17])
    return mirrored_in_floor(box, -height / 2) if kind == "floor" else box


def draw_piston(rng, body):
    """A driver somewhere on the front, or None where none fits."""
    loop = body.points[list(body.faces[0].corners)]
    for _ in range(50):
        centre = rng.dirichlet(np.ones(len(loop))) @ loop
        radius = rng.choice([0.0127, 0.04, 0.06])
        if edge_distances(body, 0, centre).min() - radius > LEAST_MARGIN:
            return Piston(float(radius), tuple(map(float, centre)), face=0)
    return None


def draw_receivers(rng, body, piston):
    """All round, near and far; close to the cone; on a face; beyond the end of an edge."""
    towards = rng.normal(size=(DIRECTIONS, 3))
    towards /= np.linalg.norm(towards, axis=1)[:, None]
    around = towards * 10 ** rng.uniform(-0.1, 1.5, DIRECTIONS)[:, None]
    around[0] -= (around[0] @ body.normals[0] - body.offsets[0]) * body.normals[0]
    near = np.array(piston.centre) + 0.005 * body.normals[0]
    face = body.points[list(body.faces[-1].corners)]
    edge = body.edges[rng.integers(len(body.edges))]
    start, end = body.points[edge.start], body.points[edge.end]
    beyond = end + 10 ** rng.uniform(-1, 0.5) * (end - start) / np.linalg.norm(end - start)
    receivers = np.concatenate([around, [near, face.mean(axis=0), beyond]])
    return receivers[body.heights_above_faces(receivers).max(axis=1) >= 0]


def draw_task(rng, kind):
    """(body, pistons, receivers, frequency): each of them at random."""
    piston = None
    while piston is None:
        body = draw_body(rng, kind)
        if body.wedge_angles.min() - np.pi > LEAST_TURN:
            piston = draw_piston(rng, body)
    frequency = 10 ** rng.uniform(np.log10(50), np.log10(5000))
    return body, [piston], draw_receivers(rng, body, piston), np.array([frequency])


@pytest.mark.slow
def test_it_is_honest_and_not_timid():
    """In 95 of 100 the error is below its estimate, which is at most ten times it in the median."""
    rng = np.random.default_rng(20)
    actual, estimate = [], []
    for index in range(BODIES):
        task = draw_task(rng, KINDS[index % len(KINDS)])
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
