"""Every accuracy against a finer one, to 20 kHz.

Reference: the same equations on finer rules (a check of the quadrature and of the facets; the
physics is checked against boundary elements and exact solutions).
"""

from __future__ import annotations

import numpy as np
import pytest

from acoustics import Body, Piston, solve_field
from acoustics.cabinet import EdgeCut, chamfered, plate, rounded
from acoustics.field.estimate import NULL_DEPTH, largest_error

BOX = Body.box(width=0.20, height=0.30, depth=0.22)
BODIES = {
    "box": BOX,
    "chamfered": chamfered(BOX, [EdgeCut("front left", (0.03, 0.02), (0.015, 0.01))]),
    "rounded": rounded(BOX, 0.012, ("front left", "front right")),
    "plate": plate(width=0.20, height=0.30),
}
TWEETER = Piston(0.0127, (0.03, 0.08, 0.0))
TWEETER_NEAR_AN_EDGE = Piston(0.0127, (-0.052, -0.08, 0.0))
PISTONS = [TWEETER, TWEETER_NEAR_AN_EDGE]


def around(distance=1.5):
    """Both arcs, with the planes of all faces."""
    turn = np.radians(np.arange(-180, 180, 22.5))
    zero = np.zeros_like(turn)
    arcs = [
        np.stack([np.sin(turn), zero, np.cos(turn)], axis=1),
        np.stack([zero, np.sin(turn), np.cos(turn)], axis=1),
    ]
    points = distance * np.concatenate(arcs)
    points[np.abs(points) < 1e-12] = 0.0
    return points


def levels_apart(field, truth):
    """Level difference, dB, and where it counts: within 20 dB of a pattern's maximum."""
    size = np.abs(truth.values)
    counts = size >= size.max(axis=-1, keepdims=True) * 10 ** (-NULL_DEPTH / 20)
    return np.abs(20 * np.log10(np.abs(field.values / truth.values))), counts


@pytest.mark.slow
@pytest.mark.parametrize("body", BODIES.values(), ids=BODIES.keys())
def test_a_hundredth_of_a_decibel_is_one(body):
    if not isinstance(body, Body):
        body = body.with_facets((2, 2))  # the same at both accuracies: facets are judged below
    frequency = np.array([60.0, 500.0, 2000.0, 4500.0])
    field = solve_field(body, PISTONS, around(), frequency, accuracy=0.01)
    truth = solve_field(body, PISTONS, around(), frequency, accuracy=0.003)
    apart, counts = levels_apart(field, truth)
    assert apart[counts].max() <= 0.01


@pytest.mark.slow
@pytest.mark.parametrize("body", BODIES.values(), ids=BODIES.keys())
def test_from_5_to_20_kilohertz_within_the_error_reported(body):
    frequency = np.array([5000.0, 7500.0, 12000.0, 20000.0])
    field = solve_field(body, PISTONS, around(), frequency, accuracy=0.1)
    truth = solve_field(body, PISTONS, around(), frequency, accuracy=0.01)
    apart, counts = levels_apart(field, truth)
    reported = field.error_estimate.values + truth.error_estimate.values
    assert np.mean(apart <= reported + 0.001) >= 0.95
    reported = (largest_error(field) + largest_error(truth)).values
    assert (np.where(counts, apart, 0.0).max(axis=(0, 2)) <= reported).all()
