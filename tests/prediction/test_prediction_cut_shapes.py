"""Cut and rounded edges on other shapes than boxes, and plates of any outline."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.model import Cabinet, Chamfer, FrequencyGrid, Rounding
from acoustics.case.geometry.shape import faces_of
from acoustics.listening.levels import level
from acoustics.prediction import predict

TWO = {"frequencies": FrequencyGrid(1000.0, 2000.0, 1), "arc_step": 45.0, "surfaces": ()}


def worst(one, other):
    """Largest difference of two predictions' levels on the arcs, dB, within 20 dB of the top."""
    a, b = (level(predict(case).arc_total).values for case in (one, other))
    return np.abs(a - b)[a > a.max() - 20].max()


@pytest.fixture
def driver(make_driver):
    return make_driver("t", 0.05, piston_diameter=0.05, frame_diameter=0.06)


@pytest.mark.slow
def test_a_chamfered_pyramid_is_the_body_of_its_corners(make_case, driver):
    pyramid = Cabinet(0.3, 0.4, 0.25, 0.6, shape="pyramid", front=(0.2, 0.36))
    cuts = tuple(Chamfer(edge, (0.02, 0.02)) for edge in ("front left", "front right"))
    cut = replace(pyramid, chamfers=cuts)
    corners = Cabinet(0.3, 0.4, 0.25, 0.6, shape="corners", corners=faces_of(cut).flat.corners)
    case = make_case([driver], cabinet=cut, **TWO)
    assert worst(case, replace(case, cabinet=corners)) < 1e-3
    assert worst(case, replace(case, cabinet=pyramid)) > 0.1


@pytest.mark.slow
def test_a_rounded_front_that_hardly_leans_is_that_of_a_box(make_case, driver):
    rounds = tuple(Rounding(edge, 0.03) for edge in ("front left", "front right", "front top"))
    box = Cabinet(0.22, 0.38, 0.3, 0.6, rounds=rounds)
    case = make_case([driver], cabinet=box, **TWO)
    leaning = replace(box, shape="sloped front", lean=0.05)
    # The solver keeps to 0.1 dB.
    assert worst(case, replace(case, cabinet=leaning)) < 0.1
    assert worst(case, replace(case, cabinet=replace(leaning, lean=10.0))) > 0.3


@pytest.mark.parametrize("thickness", [0.0, 0.02])
def test_a_rectangular_outline_is_the_plate(make_case, driver, thickness):
    plate = Cabinet(0.3, 0.4, thickness, 0.6, shape="plate")
    outline = ((0.15, 0.2), (0.15, -0.2), (-0.15, -0.2), (-0.15, 0.2))
    case = make_case([driver], cabinet=plate, **TWO)
    assert worst(case, replace(case, cabinet=replace(plate, outline=outline))) < 1e-3
    cut_corner = ((0.15, 0.1), *outline[1:], (0.05, 0.2))
    assert worst(case, replace(case, cabinet=replace(plate, outline=cut_corner))) > 0.1
