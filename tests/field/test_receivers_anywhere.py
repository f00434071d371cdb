"""Receivers on the surface, close to a cone, in a face's plane, beside the extension of an edge.

Where the field must be smooth, a receiver there hears what its neighbours hear.
"""

from __future__ import annotations

import numpy as np
import pytest

from acoustics import Body, GeometryError, Piston, solve_field
from acoustics.cabinet import EdgeCut, chamfered, plate, rounded
from acoustics.field.piston import direct_sound, place_source

BOX = Body.box(width=0.22, height=0.38, depth=0.30)
CHAMFERED = chamfered(
    BOX, [EdgeCut("front left", (0.025, 0.025)), EdgeCut("front right", (0.025, 0.025))]
)
PLATE = plate(width=0.22, height=0.38)
WOOFER = Piston(0.05, (0.01, -0.05, 0.0))
FREQUENCY = np.array([100.0, 1000.0, 8000.0])
ACCURACY = 0.03
# m; in so small a step no level changes by itself
STEP = 2e-6


def solve(body, points, piston=WOOFER, frequency=FREQUENCY):
    return solve_field(body, [piston], points, frequency, accuracy=ACCURACY).values[0]


def jump(body, point, way, step=STEP):
    """Level differences (dB) of a receiver from its neighbours a step before and after."""
    offsets = step * np.outer([-1.0, 0.0, 1.0], way)
    return np.abs(np.diff(20 * np.log10(np.abs(solve(body, np.asarray(point) + offsets))), axis=1))


OUTWARD = {
    "on the front": (BOX, (-0.06, 0.12, 0.0), (0, 0, 1)),
    "on the piston": (BOX, (0.02, -0.04, 0.0), (0, 0, 1)),
    "on the piston's rim": (BOX, (0.06, -0.05, 0.0), (0, 0, 1)),
    "on the side": (BOX, (0.11, 0.1, -0.1), (1, 0, 0)),
    "on the back": (BOX, (0.03, 0.1, -0.30), (0, 0, -1)),
    "on a chamfer": (CHAMFERED, (0.0975, 0.1, -0.0125), (np.sqrt(0.5), 0, np.sqrt(0.5))),
    "on a plate": (PLATE, (-0.06, 0.12, 0.0), (0, 0, 1)),
}


@pytest.mark.parametrize(("body", "point", "outward"), OUTWARD.values(), ids=OUTWARD.keys())
def test_on_the_surface_as_just_above_it(body, point, outward):
    heights = np.outer([0.0, 1e-7, STEP], outward)
    level = 20 * np.log10(np.abs(solve(body, np.asarray(point) + heights)))
    assert np.isfinite(level).all()
    assert np.ptp(level, axis=1).max() <= ACCURACY


@pytest.mark.parametrize(
    "body",
    [
        pytest.param(BOX, id="box"),
        pytest.param(CHAMFERED, id="chamfered", marks=pytest.mark.slow),
        pytest.param(PLATE, id="plate"),
    ],
)
def test_five_millimetres_from_a_cone_its_own_sound_prevails(body):
    point = np.array([[0.01, -0.05, 0.005], [0.03, -0.06, 0.005]])
    found = solve(body, point)
    k = 2 * np.pi * FREQUENCY / 343.0
    own = direct_sound(place_source(body, WOOFER), point, np.zeros(2, bool), k).T
    own = own * (1j * 2 * np.pi * FREQUENCY * 1.2 / (4 * np.pi))[:, None]
    # What comes back from the edges, 5 cm and more away, is a part of it.
    assert np.abs(found / own - 1).max() <= 0.5
    assert jump(body, point[0], (0, 0, 1)).max() <= ACCURACY
    assert jump(body, point[0], (1, 0, 0)).max() <= ACCURACY


THROUGH = {
    "front's plane, near": (BOX, (0.13, 0.05, 0.0), (0, 0, 1)),
    "front's plane, far": (BOX, (2.0, -0.3, 0.0), (0, 0, 1)),
    "front's plane, above": (BOX, (0.0, 0.6, 0.0), (0, 0, 1)),
    "side's plane, in front": (BOX, (0.11, 0.0, 1.0), (1, 0, 0)),
    "side's plane, behind": (BOX, (0.11, 0.1, -0.7), (1, 0, 0)),
    "top's plane": (BOX, (0.3, 0.19, 0.4), (0, 1, 0)),
    "back's plane": (BOX, (-0.5, 0.0, -0.30), (0, 0, 1)),
    "chamfer's plane": (CHAMFERED, (0.110 + 0.3, 0.05, -0.025 - 0.3), (1, 0, 1)),
    "front's plane of a chamfered box": (CHAMFERED, (0.2, 0.05, 0.0), (0, 0, 1)),
    "plate's plane": (PLATE, (0.3, 0.05, 0.0), (0, 0, 1)),
}


@pytest.mark.parametrize(("body", "point", "way"), THROUGH.values(), ids=THROUGH.keys())
def test_in_a_plane_of_a_face_as_next_to_it(body, point, way):
    found = jump(body, point, way)
    assert np.isfinite(found).all()
    assert found.max() <= ACCURACY


BESIDE = {
    "upward": (BOX, (0.11, 0.5, 0.0), (1, 0, 0)),
    "across it": (BOX, (0.11, 0.5, 0.0), (0, 0, 1)),
    "along it": (BOX, (0.11, 0.5, 0.0), (0, 1, 0)),
    "sideways": (BOX, (0.8, -0.19, 0.0), (0, 1, 1)),
    "forward": (BOX, (0.11, 0.19, 0.6), (1, 1, 0)),
    "just above the corner": (BOX, (0.11, 0.24, 0.0), (-1, 0, -1)),
    "chamfered": (CHAMFERED, (0.085, 0.24, 0.0), (1, 0, -1)),
    "plate": (PLATE, (0.11, 0.5, 0.0), (1, 0, 1)),
    "just above a plate's corner": (PLATE, (0.11, 0.24, 0.0), (-1, 0, 1)),
}


@pytest.mark.parametrize("where", BESIDE)
def test_on_the_extension_of_an_edge_as_beside_it(where):
    body, point, way = BESIDE[where]
    found = jump(body, point, way)
    assert np.isfinite(found).all()
    assert found.max() <= ACCURACY


@pytest.mark.parametrize("away", [2e-4, 1e-3])
def test_very_near_an_edge_it_stays_finite(away):
    points = np.array([[0.11 + away, 0.0, 0.0], [0.11 - away, 0.0, 0.0], [0.11 + away, 0.0, away]])
    field = solve_field(BOX, [WOOFER], points, FREQUENCY, accuracy=ACCURACY)
    assert np.isfinite(field.values).all()
    assert np.isfinite(field.error_estimate).all()
    # So close to the edge the pressure round it is one and the same, but for its small turn.
    assert np.ptp(20 * np.log10(np.abs(field.values[0, 0]))) <= 2.0


def test_all_the_way_round_a_rounded_body():
    angles = np.radians(np.arange(0.0, 360.0, 15.0))
    points = np.stack([1.5 * np.sin(angles), 0 * angles, 1.5 * np.cos(angles)], axis=1)
    field = solve_field(rounded(BOX, 0.02), [WOOFER], points, np.array([200.0, 3000.0]))
    assert np.isfinite(field.values).all()
    assert np.isfinite(field.error_estimate).all()
    assert (field.error_estimate > 0).all()


@pytest.mark.parametrize(
    ("body", "point", "message"),
    [
        (BOX, (0.0, 0.0, -0.15), "inside the body"),
        (CHAMFERED, (0.10, 0.0, -0.02), "inside the body"),
        (rounded(BOX, 0.02), (0.0, 0.1, -0.1), "inside the body"),
        (CHAMFERED, (0.085, 0.1, 0.0), "on an edge"),
        (PLATE, (0.11, 0.1, 0.0), "on an edge"),
    ],
)
def test_receivers_that_cannot_be(body, point, message):
    with pytest.raises(GeometryError, match=message):
        solve(body, [point])


ACROSS = {
    "box": (BOX, Piston(0.03, (0.09, 0.0, 0.0))),
    "onto a chamfer": (CHAMFERED, Piston(0.03, (0.07, 0.0, 0.0))),
    "onto a rounded edge": (rounded(BOX, 0.02), Piston(0.03, (0.07, 0.0, 0.0))),
    "over a plate's edge": (PLATE, Piston(0.03, (0.09, 0.0, 0.0))),
}


@pytest.mark.parametrize(("body", "piston"), ACROSS.values(), ids=ACROSS.keys())
def test_a_driver_across_two_faces_is_refused(body, piston):
    with pytest.raises(GeometryError, match="touches or crosses an edge"):
        solve(body, [(0.0, 0.0, 1.0)], piston)


@pytest.mark.parametrize("wrong", [np.nan, np.inf])
def test_numbers_that_are_not_finite_never_get_in(wrong):
    with pytest.raises(ValueError, match="finite"):
        solve(PLATE, [(0.0, wrong, 1.0)])
    with pytest.raises(ValueError, match="finite"):
        solve(PLATE, [(0.0, 0.0, 1.0)], frequency=np.array([wrong]))
    with pytest.raises(GeometryError, match="three numbers"):
        Piston(0.02, (wrong, 0.0, 0.0))
    with pytest.raises(GeometryError, match="radius must be positive"):
        Piston(wrong, (0.0, 0.0, 0.0))
