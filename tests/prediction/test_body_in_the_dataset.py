"""A prediction states the body it was made for: corners, faces, and what sounds on both sides."""

from __future__ import annotations

import netCDF4
import numpy as np
import pytest

from acoustics.case.design.model import Cabinet, FrequencyGrid, Placement, Rounding
from acoustics.prediction import predict
from acoustics.storage import open_prediction, save

ROUNDED = Cabinet(0.2, 0.4, 0.3, 0.6, rounds=(Rounding("front left", 0.03),))


@pytest.fixture
def predicted(make_case, solve_free_field):
    """`predicted(cabinet, drivers=None, **changes)`: a prediction of drivers on that cabinet."""

    def make(cabinet, drivers=None, **changes):
        grid = FrequencyGrid(500.0, 1000.0, 1)
        case = make_case(drivers, cabinet=cabinet, frequencies=grid, arc_step=90.0, **changes)
        return predict(case, solve=solve_free_field)

    return make


def rows(points):
    return sorted(map(tuple, np.round(points, 9) + 0.0))


def test_a_box_has_eight_corners(predicted):
    corners = predicted(Cabinet(0.2, 0.4, 0.3, 0.6)).body_corner
    assert corners.dims == ("corner", "axis")
    assert corners.attrs["units"] == "m"
    by_hand = [(x, y, z) for x in (-0.1, 0.1) for y in (-0.2, 0.2) for z in (-0.3, 0.0)]
    assert rows(corners.values) == pytest.approx(np.array(rows(by_hand)))


def test_a_plate_without_thickness_has_four(predicted):
    corners = predicted(Cabinet(0.2, 0.4, 0.0, 0.6, shape="plate")).body_corner.values
    by_hand = [(x, y, 0.0) for x in (-0.1, 0.1) for y in (-0.2, 0.2)]
    assert rows(corners) == pytest.approx(np.array(rows(by_hand)))


def test_a_rounded_edge_looks_round(predicted):
    """Facets within 0.4 mm of an arc of 30 mm about (−70, −30) mm, a turn of 10° apart."""
    x, _, z = predicted(ROUNDED).body_corner.values.T
    on_arc = (x < -0.07 + 1e-3) & (z > -0.03 - 1e-3)
    assert np.hypot(x + 0.07, z + 0.03)[on_arc] == pytest.approx(0.03, abs=4e-4)
    assert on_arc.sum() == 2 * 9  # nine edges between eight facets and two faces
    assert (~on_arc).sum() == 2 * 3


def test_both_cabinets_of_a_pair_share_the_corners_of_the_one_drawn(predicted):
    pair = predicted(ROUNDED, placement=Placement(True, 2.0, 20.0))
    np.testing.assert_array_equal(pair.body_corner, predicted(ROUNDED).body_corner)
    assert pair.speaker.size == 2


def test_faces_that_carry_drivers_and_the_front(predicted, make_driver):
    lean = float(np.degrees(np.arctan(0.75)))  # 3 back for every 4 up
    sloped = Cabinet(0.2, 0.4, 0.5, 0.6, shape="sloped front", lean=lean)
    sides = [make_driver(str(i), face=face) for i, face in enumerate(("top", "left", "top"))]
    prediction = predicted(sloped, sides)
    assert list(prediction.face.values) == ["front", "top", "left"]
    normals = np.array([[0.0, 0.6, 0.8], [0.0, 1.0, 0.0], [-1.0, 0.0, 0.0]])
    assert prediction.face_normal.values == pytest.approx(normals)
    # 0.5 m deep at the foot, 0.3 m less at the top; the back lies 0.15 − 0.5 m from the middle.
    centres = np.array([[0.0, 0.0, 0.0], [0.0, 0.2, -0.25], [-0.1, 0.0, -0.1]])
    assert prediction.face_centre.values == pytest.approx(centres)
    # Each driver sits where its face's centre and its place on it say.
    on_top = prediction.isel(driver=0)
    assert [float(on_top[f"driver_{axis}"]) for axis in "xyz"] == pytest.approx(centres[1])


def test_which_drivers_sound_on_both_sides(predicted, make_driver):
    plate = Cabinet(0.2, 0.4, 0.0, 0.6, shape="plate")
    drivers = [make_driver("one", -0.1), make_driver("both", 0.1, both_sides=True)]
    both = predicted(plate, drivers).driver_both_sides
    assert both.dtype == bool
    assert both.values.tolist() == [False, True]


def test_saved_and_read_by_others(predicted, make_driver, tmp_path):
    prediction = predicted(ROUNDED, [make_driver("one"), make_driver("two", 0.1, face="left")])
    path = save(prediction, tmp_path / "p.nc")
    opened = open_prediction(path)
    assert opened.identical(prediction)
    assert opened.driver_both_sides.dtype == bool
    with netCDF4.Dataset(path) as file:
        corners = file.variables["body_corner"]
        assert corners.dimensions == ("corner", "axis")
        assert corners.units == "m"
        np.testing.assert_array_equal(corners[:], prediction.body_corner.values)
        assert file.variables["driver_both_sides"][:].tolist() == [0, 0]
        assert file.variables["face"][:].tolist() == ["front", "left"]
