"""Receivers and pistons on faces a few millimetres wide, whose far edge is close and out of sight.

Reference: the same equations on finer rules, and reciprocity, which holds exactly.
"""

from __future__ import annotations

import numpy as np
import pytest

from acoustics import Body, Piston, solve_field
from acoustics.cabinet import EdgeCut, chamfered, rounded

BODY = rounded(
    Body.box(width=0.20, height=0.28, depth=0.27), 0.010, ("front left", "front right")
).with_facets([2, 2])
FACET = BODY.faces[-1]
FREQUENCY = np.array([360.0, 2500.0])


def level(field):
    return 20 * np.log10(np.abs(field.values))


@pytest.mark.slow
def test_a_receiver_on_a_narrow_facet_converges():
    tweeter = Piston(0.0127, (-0.03, 0.06, 0.0))
    on_facet = BODY.points[list(FACET.corners)].mean(axis=0)
    receivers = np.stack([on_facet, on_facet + 1e-3 * BODY.normals[-1], [0.0, 0.06, 2.0]])
    coarse = solve_field(BODY, [tweeter], receivers, FREQUENCY, accuracy=0.1)
    fine = solve_field(BODY, [tweeter], receivers, FREQUENCY, accuracy=0.003)
    np.testing.assert_allclose(level(coarse), level(fine), atol=0.03)


def test_a_piston_on_a_narrow_facet_is_heard_as_it_would_hear():
    small = 0.001
    width = np.ptp(BODY.points[list(FACET.corners)] @ np.cross(BODY.normals[-1], [0, 1, 0]))
    assert width < 6e-3
    on_facet = BODY.points[list(FACET.corners)].mean(axis=0)
    on_front = np.array([0.02, -0.05, 0.0])
    there = solve_field(
        BODY, [Piston(small, tuple(on_facet), face=len(BODY.faces) - 1)], on_front[None], FREQUENCY
    )
    back = solve_field(BODY, [Piston(small, tuple(on_front))], on_facet[None], FREQUENCY)
    np.testing.assert_allclose(level(there), level(back), atol=0.03)


def test_a_narrow_chamfer_along_a_tall_edge_is_cut_into_very_many_pieces():
    """A millimetre's cut hardly changes the field, at 20 mm a wave's length."""
    box = Body.box(width=0.22, height=1.0, depth=0.30)
    cut = chamfered(box, [EdgeCut("front left", (1e-3, 1e-3))])
    tweeter = Piston(0.0127, (0.0, 0.3, 0.0))
    receivers = np.array([[0.3, 0.2, 2.0], [-1.0, 0.0, 0.5]])
    frequency = np.array([16e3])
    whole, without = (
        solve_field(body, [tweeter], receivers, frequency, accuracy=0.1) for body in (box, cut)
    )
    np.testing.assert_allclose(level(without), level(whole), atol=0.3)
