"""Room and cabinet coordinates, and mirror images."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.case.design.model import Cabinet, Placement, Surface
from acoustics.room.images import incidence, mirrored
from acoustics.room.placement import clear_of, speakers, to_cabinet, to_room

CABINET = Cabinet(width=0.22, height=0.38, depth=0.30, base_height=0.6)
PAIR = Placement(pair=True, spacing=2.0, toe_in=30.0)


def test_a_single_cabinet_without_toe_in_only_moves_the_floor():
    point = to_cabinet(np.array([0.4, 0.95, 2.5]), "single", Placement(), CABINET)
    assert point == pytest.approx([0.4, 0.95 - 0.6 - 0.19, 2.5])
    assert speakers(Placement()) == ("single",)


def test_toe_in_turns_both_cabinets_of_a_pair_toward_the_middle():
    # 1 m beside the middle and turned by 30 degrees, both look at the point 1 m / tan 30° ahead.
    meeting = np.array([0.0, 0.79, 1.0 / np.tan(np.deg2rad(30.0))])
    for speaker in speakers(PAIR):
        assert to_cabinet(meeting, speaker, PAIR, CABINET) == pytest.approx([0.0, 0.0, 2.0])


def test_a_single_cabinet_turns_to_the_right():
    ahead = to_room(np.array([0.0, 0.0, 1.0]), "single", Placement(toe_in=20.0), CABINET)
    assert ahead[[0, 2]] == pytest.approx([np.sin(np.deg2rad(20)), np.cos(np.deg2rad(20))])


def test_the_right_cabinet_is_the_left_one_in_a_mirror():
    point = np.array([0.3, 1.1, 2.2])
    assert to_cabinet(point, "right", PAIR, CABINET) == pytest.approx(
        to_cabinet(point * [-1, 1, 1], "left", PAIR, CABINET), abs=1e-15
    )


@pytest.mark.parametrize("speaker", ["left", "right"])
def test_room_and_cabinet_coordinates_undo_each_other(speaker):
    points = np.random.default_rng(1).normal(size=(5, 2, 3))
    there = to_cabinet(points, speaker, PAIR, CABINET)
    assert to_room(there, speaker, PAIR, CABINET) == pytest.approx(points, abs=1e-12)


@pytest.mark.parametrize(
    ("name", "position", "image"),
    [
        ("floor", 0.0, (0.5, -1.0, 2.5)),
        ("ceiling", 2.4, (0.5, 3.8, 2.5)),
        ("front wall", 0.7, (0.5, 1.0, -3.9)),
        ("rear wall", 4.0, (0.5, 1.0, 5.5)),
        ("left wall", 1.5, (-3.5, 1.0, 2.5)),
        ("right wall", 2.0, (3.5, 1.0, 2.5)),
    ],
)
def test_images_lie_as_far_behind_the_surface(name, position, image):
    surface = Surface(name, position)
    point = np.array([0.5, 1.0, 2.5])
    assert mirrored(point, surface) == pytest.approx(image)
    assert mirrored(mirrored(point, surface), surface) == pytest.approx(point)


def test_angle_of_incidence_of_a_floor_bounce():
    # Source and ears 1 m up, 3 m apart: tan(grazing) = 2/3 (method of images).
    ears = np.array([0.0, 1.0, 3.0])
    floor = Surface("floor", 0.0)
    cosine = incidence(floor, np.array([0.0, 1.0, 0.0]), mirrored(ears, floor))
    assert cosine == pytest.approx(np.sin(np.arctan2(2.0, 3.0)))


def test_what_is_clear_of_a_cabinet():
    points = np.array([[0.0, 0, 0.06], [0.0, 0, 0.04], [0.17, 0, -0.1], [0.0, 0, -0.36]])
    assert list(clear_of(points, CABINET, 0.05)) == [True, False, True, True]
