"""Drivers on the flat face that a chamfer makes, and on nameless faces of a body of corners."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.model import Cabinet, Chamfer, FrequencyGrid, Rounding
from acoustics.case.geometry.shape import faces_of
from acoustics.listening.levels import level
from acoustics.prediction import predict

COARSE = {"frequencies": FrequencyGrid(500.0, 2000.0, 1), "arc_step": 45.0, "surfaces": ()}
LEFT, RIGHT = "front left chamfer", "front right chamfer"


def cabinet(*edges, **more):
    cuts = tuple(Chamfer(edge, (0.04, 0.04)) for edge in edges)
    return Cabinet(0.22, 0.38, 0.30, 0.6, chamfers=cuts, **more)


@pytest.fixture
def case_on(make_case, make_driver):
    """`case_on(cabinet, face, right)`: a driver on that face, and none elsewhere."""

    def case(outside, face, right=0.004):
        driver = make_driver("t", position=(right, 0.05), face=face)
        return make_case([driver], cabinet=outside, **COARSE)

    return case


def mirrored(arc):
    """What the horizontal arc of the mirror image is, in the same order of angles."""
    horizontal = arc.sel(plane="horizontal", drop=True)
    inside = horizontal.sel(angle=horizontal.angle > -180)
    other = inside.assign_coords(angle=np.where(inside.angle == 180, 180, -inside.angle))
    return other.sortby("angle")


def test_left_and_right_chamfer_are_mirror_images(case_on):
    """Each on a body with that one chamfer, which is solved as it stands."""
    left = predict(case_on(cabinet("front left"), LEFT, 0.004)).arc_total
    right = predict(case_on(cabinet("front right"), RIGHT, -0.004)).arc_total
    horizontal = left.sel(plane="horizontal", drop=True)
    np.testing.assert_allclose(mirrored(right), horizontal, rtol=1e-4)
    np.testing.assert_allclose(right.sel(plane="vertical"), left.sel(plane="vertical"), rtol=1e-4)
    # Not for want of a difference: it looks to the left, where it is louder at 2 kHz.
    across = level(horizontal.sel(frequency=2000.0, method="nearest"))
    assert float(across.sel(angle=-90.0) - across.sel(angle=90.0)) > 3.0


def test_on_a_body_with_both_chamfers_likewise(case_on):
    both = cabinet("front left", "front right")
    left, right = (
        predict(case_on(both, face, at)).arc_total for face, at in ((LEFT, 0.004), (RIGHT, -0.004))
    )
    np.testing.assert_allclose(mirrored(right), left.sel(plane="horizontal", drop=True), rtol=1e-6)


def test_a_chamfered_box_is_the_body_of_its_corners(case_on):
    """The same face, called by where it looks."""
    cut = cabinet("front left")
    body = faces_of(cut).flat
    corners = replace(
        cut, shape="corners", chamfers=(), corners=tuple(map(tuple, body.points)), bottom=-0.19
    )
    name = faces_of(corners).name((-1.0, 0.0, 1.0))
    assert name == "face 45° left"
    one, other = predict(case_on(cut, LEFT)), predict(case_on(corners, name))
    # The edges come in another order, and sums are in single precision: 0.003 dB.
    np.testing.assert_allclose(one.arc_total, other.arc_total, rtol=3e-4)
    assert str(other.driver_face.values[0]) == name


def test_the_dataset_states_the_face(case_on, solve_free_field):
    prediction = predict(case_on(cabinet("front left"), LEFT), solve=solve_free_field)
    assert prediction.driver_face.values.tolist() == [LEFT]
    assert prediction.face.values.tolist() == ["front", LEFT]
    face = prediction.sel(face=LEFT)
    assert face.face_centre.values == pytest.approx([-0.09, 0.0, -0.02])
    assert face.face_normal.values == pytest.approx([-np.sqrt(0.5), 0.0, np.sqrt(0.5)])
    right = 0.004 * np.sqrt(0.5)
    centre = [float(prediction[f"driver_{axis}"][0]) for axis in "xyz"]
    assert centre == pytest.approx([-0.09 + right, 0.05, -0.02 + right])


def test_on_a_chamfer_beside_a_rounded_edge(case_on):
    """A rounding of the other side's edges, away from the driver, changes little in front of it."""
    cut = cabinet("front left")
    rounded = replace(cut, rounds=(Rounding("back right", 0.02),))
    one, other = (predict(case_on(each, LEFT)) for each in (cut, rounded))
    ahead = {"plane": "horizontal", "angle": -45.0}
    difference = level(one.arc_total.sel(ahead)) - level(other.arc_total.sel(ahead))
    assert 1e-4 < float(abs(difference).max()) < 0.3
