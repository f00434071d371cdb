"""The plan that is checked is the one that is predicted."""

from __future__ import annotations

import math

import numpy as np
import pytest

from acoustics.case import Cabinet, Placement
from acoustics.case.checks.plan import Plan
from acoustics.room.placement import speakers, to_cabinet, to_room

CABINET = Cabinet(width=0.22, height=0.38, depth=0.3, base_height=0.6)
PLACEMENTS = [Placement(), Placement(toe_in=25), Placement(True, 2, 10), Placement(True, 2, -70)]


def plan(placement: Placement) -> Plan:
    turn = math.radians(placement.toe_in)
    across, ahead = (-CABINET.width / 2, CABINET.width / 2), (-CABINET.depth, 0.0)
    return Plan(across, ahead, placement.pair, placement.spacing, turn)


@pytest.mark.parametrize("placement", PLACEMENTS)
def test_the_corners_are_where_the_prediction_has_them(placement: Placement) -> None:
    local = np.array([(-0.11, 0, 0), (0.11, 0, 0), (0.11, 0, -0.3), (-0.11, 0, -0.3)])
    corners = [to_room(local, one, placement, CABINET)[:, [0, 2]] for one in speakers(placement)]
    np.testing.assert_allclose(plan(placement).corners, np.concatenate(corners), atol=1e-12)


@pytest.mark.parametrize("placement", PLACEMENTS)
def test_the_clearance_is_that_to_the_nearest_point_of_an_outline(placement: Placement) -> None:
    # Every point of the outlines at steps of 0.5 mm; the nearest of them is at most 0.25 mm off.
    across, back = np.linspace(-0.11, 0.11, 441), np.linspace(-0.3, 0, 601)
    edges = [(across, 0 * across), (across, 0 * across - 0.3)]
    edges += [(0 * back - 0.11, back), (0 * back + 0.11, back)]
    outline = np.concatenate([np.stack([x, 0 * x, z], axis=-1) for x, z in edges])
    for x, z in ((0.0, 0.2), (-1.3, 0.1), (0.9, -0.4), (1.5, -0.1), (-0.2, -0.2), (-1.0, -0.1)):
        ends = np.array([x, 0.0, z])
        nearest, inside = math.inf, False
        for one in speakers(placement):
            room = to_room(outline, one, placement, CABINET)[:, [0, 2]]
            nearest = min(nearest, float(np.hypot(*(room - (x, z)).T).min()))
            right, _, ahead = to_cabinet(ends, one, placement, CABINET)
            inside |= bool(abs(right) < 0.11 and -0.3 < ahead < 0)
        found = plan(placement).clearance(x, z)
        assert found == pytest.approx(0.0 if inside else nearest, abs=2.5e-4)
