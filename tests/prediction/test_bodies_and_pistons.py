"""Cabinets of any convex shape, drivers on any face, open backs and one body with the floor."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from acoustics.cabinet import Body, Piston, RoundedBody, dome, rounded
from acoustics.case.design.model import (
    Cabinet,
    Chamfer,
    FrequencyGrid,
    Rounding,
    Seat,
    SeatPlace,
    Surface,
)
from acoustics.field import solve_field
from acoustics.listening.levels import level
from acoustics.prediction import predict
from acoustics.prediction.layout import layout_of

COARSE = {"frequencies": FrequencyGrid(250.0, 2000.0, 1), "arc_step": 30.0, "surfaces": ()}


def test_an_open_baffle_sounds_alike_on_both_sides_in_opposite_phase(make_case, make_driver):
    """By symmetry of a flat driver on a plate without thickness; nothing reaches its plane."""
    case = make_case(
        [make_driver("w", piston_diameter=0.1, frame_diameter=0.12, both_sides=True)],
        cabinet=Cabinet(0.3, 0.4, 0.0, 0.6, shape="plate"),
        **COARSE,
    )
    arc = predict(case).arc_total.sel(plane="horizontal")
    for angle in (0.0, 30.0, 60.0):
        front, back = arc.sel(angle=angle).values, arc.sel(angle=180.0 - angle).values
        np.testing.assert_allclose(back, -front, rtol=2e-3)
    assert np.abs(arc.sel(angle=90.0)).max() < 1e-6 * np.abs(arc).max()


def test_from_behind_a_cone_is_a_dome(make_case, make_driver):
    driver = make_driver("w", piston_diameter=0.1, frame_diameter=0.12, both_sides=True)
    bowl = dataclasses.replace(driver, profile=dome(-0.02, 0.05))
    layout = layout_of(make_case([bowl], cabinet=Cabinet(0.3, 0.4, 0.018, 0.6, shape="plate")))
    front, back = layout.pistons
    assert back.centre == pytest.approx((0.0, 0.0, -0.018))
    assert back.profile.depth == tuple(-depth for depth in front.profile.depth)
    assert max(front.profile.depth) > 0


def test_an_open_back_on_a_thick_plate_with_rounded_edges(make_case, make_driver):
    """Rounding by 3 mm is far below the wavelength: the sharp plate's field within 0.2 dB."""
    driver = make_driver("w", piston_diameter=0.1, frame_diameter=0.12, both_sides=True)
    sharp = Cabinet(0.3, 0.4, 0.018, 0.6, shape="plate")
    edges = tuple(Rounding(edge, 0.003) for edge in ("front left", "front right"))
    cases = [
        make_case([driver], cabinet=each, **COARSE)
        for each in (sharp, dataclasses.replace(sharp, rounds=edges))
    ]
    assert layout_of(cases[1]).pistons[1].centre == pytest.approx((0.0, 0.0, -0.018))
    one, other = (
        level(predict(case).arc_total).sel(plane="horizontal", angle=[0.0, 60.0, 180.0])
        for case in cases
    )
    np.testing.assert_allclose(other, one, atol=0.2)


def test_with_the_floor_as_one_body_the_twin_sounds_from_below(make_case, solve_free_field):
    """For point sources in free space one body is no body: the image method is exact."""
    floor = Surface("floor", 0.0)
    case = make_case(cabinet=Cabinet(0.22, 0.38, 0.30, 0.0), surfaces=(floor,))
    joined = dataclasses.replace(case, surfaces=(dataclasses.replace(floor, mirrors_cabinet=True),))
    image, one_body = (predict(each, solve=solve_free_field) for each in (case, joined))
    np.testing.assert_allclose(one_body.seat_total, image.seat_total, rtol=1e-6)
    np.testing.assert_array_equal(one_body.arc_total, image.arc_total)


def test_a_cabinet_on_the_floor_is_a_taller_one_in_the_bass(make_case):
    """At low frequency the floor doubles the pressure, one body or not: 6 dB."""
    floor = Surface("floor", 0.0, mirrors_cabinet=True)
    case = make_case(
        cabinet=Cabinet(0.22, 0.38, 0.30, 0.0),
        seat=Seat((SeatPlace("main", 3.0),), (0.2,)),
        frequencies=FrequencyGrid(20.0, 40.0, 1),
        arc_step=30.0,
        surfaces=(floor,),
    )
    total = level(predict(case).seat_total).squeeze()
    gain = total.sel(surroundings="with reflections") - total.sel(surroundings="free space")
    assert gain.values == pytest.approx(20 * np.log10(2), abs=0.2)


def test_a_rounded_cabinet_on_the_floor_is_a_taller_rounded_one(make_case, make_driver):
    """It and its image are a box of twice the height, its front edges rounded, with two drivers."""
    edges = ("front left", "front right", "front top")
    rounds = tuple(Rounding(edge, 0.06) for edge in edges)
    case = make_case(
        [make_driver("t", 0.10)],
        cabinet=Cabinet(0.22, 0.38, 0.30, 0.0, rounds=rounds),
        seat=Seat((SeatPlace("main", 3.0),), (0.9,)),
        frequencies=FrequencyGrid(250.0, 1000.0, 1),
        arc_step=30.0,
        surfaces=(Surface("floor", 0.0, mirrors_cabinet=True),),
    )
    prediction = predict(case)
    # The taller box's middle lies in the floor, 0.19 m below the cabinet's.
    tall = rounded(Body.box(width=0.22, height=0.76, depth=0.30), 0.06)
    twins = [Piston(radius=0.0125, centre=(0.0, y, 0.0)) for y in (0.29, -0.29)]
    ear = prediction.seat_position.isel(path=0).values.reshape(1, 3) + np.array([0.0, 0.19, 0.0])
    frequency = prediction.frequency.values
    whole = solve_field(tall, twins, ear, frequency, air=case.air, accuracy=case.accuracy)
    np.testing.assert_allclose(
        prediction.seat_field.sum("path").values.squeeze(),
        whole.sum("piston").values.squeeze(),
        rtol=1e-3,  # a tenth of the 0.1 dB asked for: the two bodies' edges come in other orders
    )


def test_cut_and_mirrored_the_same_answer(make_case, make_driver):
    """A body that is not its own mirror image, and its mirror image (symmetry)."""

    def answer(side, edge):
        driver = make_driver("t", position=(side * 0.03, 0.1))
        cabinet = Cabinet(0.22, 0.38, 0.30, 0.6, chamfers=(Chamfer(edge, (0.03, 0.03)),))
        return predict(make_case([driver], cabinet=cabinet, **COARSE)).arc_total

    one = answer(1.0, "front left").sel(plane="horizontal", angle=[30.0, 90.0, -60.0])
    other = answer(-1.0, "front right").sel(plane="horizontal", angle=[-30.0, -90.0, 60.0])
    np.testing.assert_allclose(one.values, other.values, rtol=1e-4)


def test_rounded_edges_reach_the_solver_as_rounds(make_case, solve_free_field):
    edges = ("front left", "front right", "front top", "front bottom")
    rounds = tuple(Rounding(edge, 0.02) for edge in edges)
    case = make_case(cabinet=Cabinet(0.22, 0.38, 0.30, 0.6, rounds=rounds))
    bodies = []

    def spy(body, *arguments, **settings):
        bodies.append(body)
        return solve_free_field(body, *arguments, **settings)

    prediction = predict(case, solve=spy)
    assert isinstance(bodies[0], RoundedBody)
    # What is flat of the front face: 20 mm less on every side.
    assert np.ptp(prediction.attrs["front_right"]) == pytest.approx(0.18)
    assert np.ptp(prediction.attrs["front_up"]) == pytest.approx(0.34)


def test_a_driver_on_top_is_where_it_was_put(make_case, make_driver, solve_free_field):
    top = make_driver("up", position=(0.02, 0.05))
    case = make_case([make_driver("front"), dataclasses.replace(top, face="top")])
    prediction = predict(case, solve=solve_free_field)
    up = prediction.sel(driver="up")
    # The top's middle is half the depth behind the front; up on it points to the back.
    centre = [float(up[f"driver_{axis}"]) for axis in "xyz"]
    assert centre == pytest.approx([0.02, 0.19, -0.15 - 0.05])
    assert str(up.driver_face.values) == "top"
