"""Where a driver may go: circles in rectangles and beside circles, reckoned by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from acoustics.case.design.model import Cabinet, Chamfer
from acoustics.conventions import RoundoverError
from acoustics.studies.driver_map.face_places import ALLOWED, IN_THE_WAY, OVER_EDGE, face_places
from support.cases import make_case, make_driver

DRIVERS = (
    make_driver("woofer", -0.05, piston_diameter=0.12, frame_diameter=0.16),
    make_driver("tweeter", 0.12, piston_diameter=0.025, frame_diameter=0.10),
)
CASE = make_case(DRIVERS)


def test_frames_stay_on_the_face_and_clear_of_each_other():
    """220 × 380 mm, frame 100 mm: 60 mm to either side, 140 mm up; 130 mm from the woofer."""
    lattice = face_places(CASE, "tweeter", 0.01)
    right, up = np.meshgrid(lattice.right, lattice.up)
    inside = (np.abs(right) < 0.06 - 1e-9) & (np.abs(up) < 0.14 - 1e-9)
    clear = np.hypot(right, up + 0.05) > 0.13 + 1e-9
    np.testing.assert_array_equal(lattice.zone == ALLOWED, inside & clear)
    np.testing.assert_array_equal(lattice.zone == IN_THE_WAY, ~clear)
    np.testing.assert_array_equal(lattice.zone == OVER_EDGE, clear & ~inside)
    assert lattice.there.all()
    assert lattice.right[-1] == pytest.approx(0.09)  # piston 12.5 mm, 5 mm of room, every 10 mm


def test_a_gap_keeps_frames_further_apart():
    lattice = face_places(CASE, "tweeter", 0.01, gap=0.01)
    right, up = np.meshgrid(lattice.right, lattice.up)
    inside = (np.abs(right) < 0.05 - 1e-9) & (np.abs(up) < 0.13 - 1e-9)
    np.testing.assert_array_equal(
        lattice.allowed, inside & (np.hypot(right, up + 0.05) > 0.14 + 1e-9)
    )


def test_cut_edges_take_room_away():
    cabinet = replace(CASE.cabinet, chamfers=(Chamfer("front left", (0.03, 0.03)),))
    lattice = face_places(replace(CASE, cabinet=cabinet), "tweeter", 0.01)
    allowed = lattice.right[lattice.allowed.any(axis=0)]
    assert allowed.min() == pytest.approx(-0.02)  # 110 − 30 − 50 mm, and not touching
    assert allowed.max() == pytest.approx(0.05)


def test_a_driver_on_the_back_is_in_nobodys_way_but_through_a_plate():
    back = replace(DRIVERS[0], face="back")
    assert IN_THE_WAY not in face_places(make_case((back, DRIVERS[1])), "tweeter", 0.01).zone
    plate = Cabinet(0.22, 0.38, 0.02, 0.6, shape="plate")
    both = replace(DRIVERS[0], both_sides=True)
    behind = replace(DRIVERS[1], face="back", position=(0.0, 0.12))
    lattice = face_places(make_case((both, behind), cabinet=plate), "tweeter", 0.01)
    assert IN_THE_WAY in lattice.zone


def test_faces_of_other_shapes_are_mapped_more_coarsely():
    outline = ((-0.15, -0.2), (0.15, -0.2), (0.08, 0.2), (-0.08, 0.2))
    cabinet = Cabinet(0.30, 0.40, 0.02, 0.6, shape="plate", outline=outline)
    lattice = face_places(make_case(DRIVERS, cabinet=cabinet), "tweeter")
    assert np.diff(lattice.right).min() > 0.006
    assert not lattice.there.all()
    right, up = np.meshgrid(lattice.right, lattice.up)
    # The slanted side runs from (0.15, −0.2) to (0.08, 0.2).
    away = ((0.15 - right) * 0.4 - (up + 0.2) * 0.07) / np.hypot(0.4, 0.07)
    assert (away[lattice.there] > 0.0125).all()


def test_a_driver_too_large_for_its_face():
    wide = make_driver("tweeter", piston_diameter=0.219, frame_diameter=0.22)
    with pytest.raises(RoundoverError, match=r"too large for its face.*take a smaller driver"):
        face_places(make_case((wide,)), "tweeter")
