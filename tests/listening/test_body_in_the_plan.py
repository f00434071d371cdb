"""Where the corners of a body stand in the room, against coordinates found by hand."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.case.design.model import Cabinet, FrequencyGrid, Placement, ReferenceAxis
from acoustics.listening.body_shape import frame_of, reference_point
from acoustics.listening.plan import room_plan
from acoustics.prediction import predict

QUICK = {"frequencies": FrequencyGrid(500.0, 1000.0, 1), "arc_step": 90.0}

# tan(lean) = 1/4, so a front 0.4 m high is 0.1 m farther back at its top than at its bottom.
SLOPED = Cabinet(0.2, 0.4, 0.3, 0.6, shape="sloped front", lean=float(np.degrees(np.arctan(0.25))))


@pytest.fixture
def predicted(make_case, solve_free_field):
    """`predicted(cabinet, **changes)`: a prediction of a two-way in that cabinet."""

    def make(cabinet, **changes):
        case = make_case(cabinet=cabinet, **QUICK, **changes)
        return predict(case, solve=solve_free_field)

    return make


def rows(points):
    return sorted(map(tuple, np.round(points, 9) + 0.0))


def test_a_pair_toed_in_by_30_degrees(predicted):
    """Turned by 30° about (−1, 0): (x, z) → (x cos 30° + z sin 30° − 1, z cos 30° − x sin 30°)."""
    plan = room_plan(predicted(Cabinet(0.2, 0.4, 0.3, 0.6), placement=Placement(True, 2.0, 30.0)))
    c = 3**0.5 / 2
    seen_from_above = [
        (-1 + 0.1 * c, -0.05),
        (-1 - 0.1 * c, 0.05),
        (-1 + 0.1 * c - 0.15, -0.05 - 0.3 * c),
        (-1 - 0.1 * c - 0.15, 0.05 - 0.3 * c),
    ]
    by_hand = [(x, y, z) for x, z in seen_from_above for y in (0.6, 1.0)]
    assert rows(plan.cabinets["left"]) == pytest.approx(np.array(rows(by_hand)))
    other = [(-x, y, z) for x, y, z in by_hand]
    assert rows(plan.cabinets["right"]) == pytest.approx(np.array(rows(other)))


def test_a_pyramid_stands_where_its_back_is_shifted_to(predicted):
    """Front 0.2 × 0.3 m, 0.05 m to the right of and 0.02 m below the back's centre, 0.3 × 0.4 m."""
    pyramid = Cabinet(
        0.3, 0.4, 0.25, 0.6, shape="pyramid", front=(0.2, 0.3), shift=(0.05, -0.02), bottom=-0.18
    )
    plan = room_plan(predicted(pyramid))
    # The front's centre is 0.18 m above the base: half of 0.4 m less 0.02 m.
    front = [(x, 0.78 + y, 0.0) for x in (-0.1, 0.1) for y in (-0.15, 0.15)]
    back = [(-0.05 + x, 0.8 + y, -0.25) for x in (-0.15, 0.15) for y in (-0.2, 0.2)]
    assert rows(plan.cabinets["single"]) == pytest.approx(np.array(rows(front + back)))


def test_a_sloped_front_leans_back_over_its_lower_edge(predicted):
    plan = room_plan(predicted(SLOPED))
    profile = [(0.6, 0.05), (1.0, -0.05), (0.6, -0.25), (1.0, -0.25)]
    by_hand = [(x, y, z) for x in (-0.1, 0.1) for y, z in profile]
    assert rows(plan.cabinets["single"]) == pytest.approx(np.array(rows(by_hand)))


def test_the_reference_axis_leaves_the_leaning_face(predicted):
    prediction = predicted(SLOPED, reference=ReferenceAxis((0.02, 0.08), 2.0))
    assert reference_point(prediction) == pytest.approx([0.02, 0.08, -0.02])
    start, end = room_plan(prediction).axes["single"]
    assert start == pytest.approx([0.02, 0.88, -0.02])
    assert end - start == pytest.approx([0.0, 0.0, 1.0])
    # Square to the face: 4 forward for every 1 up.
    assert frame_of(prediction).outward == pytest.approx(np.array([0, 1, 4]) / 17**0.5)
