"""Pairs, toe-in, seats and surfaces: where everything is heard, and what mirrors what."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from acoustics.case.design.model import (
    Absorber,
    FrequencyGrid,
    Placement,
    ReferenceAxis,
    Seat,
    SeatPlace,
    Surface,
)
from acoustics.listening.listeners import heard, listeners
from acoustics.prediction import predict

PAIR = Placement(pair=True, spacing=2.0, toe_in=15.0)
SEATS = Seat((SeatPlace("main", 2.5), SeatPlace("end", 2.7, 0.8)), (0.9, 1.1))
HARD_ROOM = (
    Surface("floor", 0.0, 0.9),
    Surface("ceiling", 2.5),
    Surface("front wall", 0.7, 0.8),
    Surface("rear wall", 4.0, 0.7),
    Surface("left wall", 1.8, 0.6),
    Surface("right wall", 2.2),
)


def test_every_way_in_a_room_is_as_long_as_drawn(make_case, make_driver, solve_free_field):
    offset = make_driver("tweeter", 0.1, position=(0.06, 0.1))
    case = make_case([offset], placement=PAIR, seat=SEATS, surfaces=HARD_ROOM)
    prediction = predict(case, solve=solve_free_field)
    frequency = prediction.frequency.values
    k = 2 * np.pi * frequency / 343.0
    for seat, (aside, ahead) in {"main": (0.0, 2.5), "end": (0.8, 2.7)}.items():
        images = {
            "direct": ((aside, 1.1, ahead), 1.0),
            "floor": ((aside, -1.1, ahead), 0.9),
            "ceiling": ((aside, 5.0 - 1.1, ahead), 1.0),
            "front wall": ((aside, 1.1, -1.4 - ahead), 0.8),
            "rear wall": ((aside, 1.1, 8.0 - ahead), 0.7),
            "left wall": ((-3.6 - aside, 1.1, ahead), 0.6),
            "right wall": ((4.4 - aside, 1.1, ahead), 1.0),
        }
        assert list(prediction.path.values) == list(images)
        for speaker in ("left", "right"):
            for path, (point, reflection) in images.items():
                # In the right cabinet, the driver drawn to the right is on the left.
                x = offset.position[0] if speaker == "left" else -offset.position[0]
                turn = np.deg2rad(15.0) if speaker == "left" else -np.deg2rad(15.0)
                centre = -1.0 if speaker == "left" else 1.0
                place = (centre + x * np.cos(turn), 0.6 + 0.19 + 0.1, -x * np.sin(turn))
                way = np.linalg.norm(np.subtract(point, place))
                found = prediction.seat_field.sel(
                    driver="tweeter", speaker=speaker, seat=seat, path=path, ear_height=1.1
                )
                expected = reflection * 2j * np.pi * frequency * 1.2 / (4 * np.pi * way)
                np.testing.assert_allclose(found, expected * np.exp(-1j * k * way), rtol=1e-6)


def test_the_left_wall_of_the_left_cabinet_is_the_right_wall_of_the_right_one(
    make_case, make_driver, solve_free_field
):
    walls = (Surface("left wall", 1.8, 0.6), Surface("right wall", 1.8, 0.6))
    case = make_case([make_driver("one", position=(0.05, 0.0))], placement=PAIR, surfaces=walls)
    prediction = predict(case, solve=solve_free_field)
    pressure = prediction.seat_pressure.sel(seat="main")
    np.testing.assert_allclose(
        pressure.sel(speaker="left", path="left wall"),
        pressure.sel(speaker="right", path="right wall"),
        rtol=1e-9,
    )
    (only,) = listeners(prediction)
    assert only.label == ""
    assert only.speaker == "left"


def test_absorbers_are_met_at_the_angle_of_the_bounce(make_case, make_driver, solve_free_field):
    carpet = Surface("floor", 0.0, absorber=Absorber(0.01, 50e3))
    case = make_case([make_driver("one", 0.1)], surfaces=(carpet,))
    prediction = predict(case, solve=solve_free_field)
    # The driver is 0.89 m up, the ears 0.9 and 1.1 m, 2.5 m away (method of images).
    from acoustics.room.reflection import reflection_factor

    for ear in (0.9, 1.1):
        cosine = (0.89 + ear) / np.hypot(0.89 + ear, 2.5)
        expected = reflection_factor(
            carpet, np.array(cosine), prediction.frequency.values, case.air
        )
        found = prediction.reflection.sel(path="floor", ear_height=ear).squeeze()
        np.testing.assert_allclose(found, expected, rtol=1e-9)
    assert (prediction.reflection.sel(path="direct") == 1).all()


def test_listeners_name_seats_and_cabinets_that_sound_apart(make_case, solve_free_field):
    prediction = predict(make_case(placement=PAIR, seat=SEATS), solve=solve_free_field)
    assert [one.label for one in listeners(prediction)] == [
        "main seat",
        "seat end, left cabinet",
        "seat end, right cabinet",
    ]
    view = heard(prediction, listeners(prediction)[1])
    assert "speaker" not in view.dims
    assert view.seat_total.dims == ("surroundings", "ear_height", "frequency")


@pytest.mark.parametrize("toe_in", [0.0, 12.5])
def test_a_mirrored_layout_gives_the_mirrored_answer(make_case, make_driver, toe_in):
    """By symmetry, to 1e-9, with the field solver itself."""
    drivers = [
        make_driver("woofer", -0.06, piston_diameter=0.1, frame_diameter=0.12),
        make_driver("tweeter", 0.1, position=(0.05, 0.1)),
    ]

    def answer(side, speaker):
        placed = [
            dataclasses.replace(d, position=(side * d.position[0], d.position[1])) for d in drivers
        ]
        case = make_case(
            placed,
            reference=ReferenceAxis(placed[1].position, 2.0),
            placement=Placement(toe_in=side * toe_in),
            seat=Seat((SeatPlace("main", 2.0, side * 0.4),), (0.9,)),
            surfaces=(Surface("floor", 0.0), Surface(f"{speaker} wall", 1.5, 0.7)),
            frequencies=FrequencyGrid(300.0, 2400.0, 2),
            arc_step=10.0,
        )
        return predict(case)

    one, other = answer(1.0, "left"), answer(-1.0, "right")
    inner = one.angle.values[one.angle.values < 180.0]
    for mine, mirrored in (
        (one.seat_total.values, other.seat_total.values),
        (one.height_total.values, other.height_total.values),
        (one.aside_total.values, other.aside_total.values[:, :, ::-1]),
        (
            one.arc_total.sel(plane="horizontal", angle=inner).values,
            other.arc_total.sel(plane="horizontal", angle=-inner).values,
        ),
        (one.arc_total.sel(plane="vertical").values, other.arc_total.sel(plane="vertical").values),
    ):
        assert np.abs(mine - mirrored).max() <= 1e-9 * np.abs(mine).max()


def test_the_line_sideways_stops_short_of_a_cabinet(make_case, solve_free_field):
    # Turned by 60 degrees, a corner of the left cabinet comes 95 mm forward, 0.555 m to the left.
    near = Seat((SeatPlace("main", 0.12, 0.0),), (0.9,))
    turned = make_case(placement=Placement(pair=True, spacing=1.0, toe_in=60.0), seat=near)
    line = np.abs(predict(turned, solve=solve_free_field).aside_total.squeeze()).sel(speaker="left")
    heard_there = np.isfinite(line).all("frequency")
    assert list(line.aside.values[~heard_there.values]) == pytest.approx([-0.6, 0.6])
    straight = make_case(placement=Placement(), seat=near)
    assert np.isfinite(predict(straight, solve=solve_free_field).aside_total).all()


def test_the_line_sideways_ends_at_the_walls(make_case, solve_free_field):
    walls = (Surface("left wall", 0.95), Surface("right wall", 0.3))
    prediction = predict(make_case(surfaces=walls), solve=solve_free_field)
    there = np.isfinite(prediction.aside_total.squeeze().isel(frequency=0))
    assert list(there.aside.values[there.values][[0, -1]]) == pytest.approx([-0.9, 0.2])


def test_heights_end_at_the_ceiling(make_case, solve_free_field):
    case = make_case(surfaces=(Surface("ceiling", 1.62),))
    assert predict(case, solve=solve_free_field).height.values[-1] == pytest.approx(1.6)
