"""The field over a face, with the listeners as sources, against the field solved forward.

Reference: `solve_field`, itself held to boundary elements and exact solutions; reciprocity and the
transposed equation hold exactly, so at the finer rules hardly anything may be left between them.
"""

from __future__ import annotations

import numpy as np
import pytest

from acoustics import Body, GeometryError, Piston, face_field, solve_field
from acoustics.cabinet import EdgeCut, chamfered, dome, mirrored_in_floor, plate, rounded
from acoustics.field.estimate import largest_error

BOX = Body.box(width=0.22, height=0.38, depth=0.30)
CHAMFERED = chamfered(
    BOX, [EdgeCut("front left", (0.03, 0.03)), EdgeCut("front top", (0.02, 0.01))]
)
BODIES = {
    "box": BOX,
    "chamfered": CHAMFERED,
    "plate": plate(width=0.22, height=0.38),
    "slab": Body.box(width=0.22, height=0.38, depth=0.02),
    "on the floor": mirrored_in_floor(BOX, -0.19),
}
RECEIVERS = np.array(
    [
        [0.0, 0.1, 2.0],
        [1.5, 0.1, 1.0],
        [2.0, 0.0, 0.0],  # in the front's plane
        [0.5, 0.3, -1.5],
        [0.11, 0.6, 0.0],  # on the extension of an edge
        [0.02, 0.09, 0.03],  # 3 cm from a cone
        [0.05, 0.19, -0.05],  # on the top, or above it
    ]
)
PISTONS = [
    Piston(0.0127, (0.02, 0.05, 0.0)),
    Piston(0.05, (0.0, -0.08, 0.0)),
    Piston(0.0127, (0.07, 0.1, 0.0)),
    Piston(0.02, (-0.04, 0.1, 0.0), dome(0.008, 0.02)),
]
FREQUENCY = np.array([3000.0, 90.0, 800.0])


def off(reverse, forward):
    """Largest difference over the largest pressure of its piston and frequency."""
    size = np.abs(forward.values).max(axis=-1, keepdims=True)
    return (np.abs(reverse.values - forward.values) / size).max()


@pytest.mark.parametrize("name", BODIES)
@pytest.mark.parametrize(
    ("accuracy", "within"), [(0.1, 2e-3), pytest.param(0.01, 2e-4, marks=pytest.mark.slow)]
)
def test_it_is_the_field_solved_forward(name, accuracy, within):
    body = BODIES[name]
    forward = solve_field(body, PISTONS, RECEIVERS, FREQUENCY, accuracy=accuracy)
    heard = face_field(body, 0, RECEIVERS, FREQUENCY, accuracy=accuracy)
    reverse = heard.field(PISTONS)
    assert reverse.dims == forward.dims
    assert reverse.frequency.values.tolist() == FREQUENCY.tolist()
    assert off(reverse, forward) < within
    np.testing.assert_array_equal(heard.field(PISTONS).values, reverse.values)


def test_in_double_precision_nothing_is_left_between_them():
    frequency = np.array([300.0])
    forward = solve_field(BOX, PISTONS[:2], RECEIVERS, frequency, accuracy=0.003)
    reverse = face_field(BOX, 0, RECEIVERS, frequency, accuracy=0.003).field(PISTONS[:2])
    assert off(reverse, forward) < 2e-5


def test_a_rim_close_to_an_edge_is_resolved_although_the_face_was_solved_without_it():
    close = [Piston(0.0127, (0.11 - 0.0127 - 0.004, 0.1, 0.0))]
    receivers = RECEIVERS[:5]
    truth = solve_field(BOX, close, receivers, FREQUENCY, accuracy=0.003)
    reverse = face_field(BOX, 0, receivers, FREQUENCY, accuracy=0.03).field(close)
    level = 20 * np.log10(np.abs(reverse.values / truth.values))
    assert np.abs(level).max() < 0.03


def test_rounded_edges_and_another_face():
    body = rounded(BOX, 0.02, ("front left", "front right"))
    top = next(n for n, normal in enumerate(BOX.normals) if normal[1] > 0.5)
    on_top = [Piston(0.03, (0.02, 0.19, -0.12))]
    receivers = RECEIVERS[:5]
    forward = solve_field(body, on_top, receivers, FREQUENCY)
    reverse = face_field(body, top, receivers, FREQUENCY).field(on_top)
    assert off(reverse, forward) < 2e-3


def test_it_estimates_its_error():
    heard = face_field(BOX, 0, RECEIVERS[:5], FREQUENCY, accuracy=0.03)
    field = heard.field(PISTONS[:2])
    truth = solve_field(BOX, PISTONS[:2], RECEIVERS[:5], FREQUENCY, accuracy=0.003)
    actual = np.abs(20 * np.log10(np.abs(field.values / truth.values)))
    assert np.mean(actual <= field.error_estimate.values) >= 0.9
    assert largest_error(field).max() < 0.3


def test_progress_and_refusals():
    seen = []
    face_field(BOX, 0, RECEIVERS[:1], FREQUENCY, progress=lambda done, of: seen.append((done, of)))
    assert seen[-1] == (3, 3)
    heard = face_field(BOX, 0, RECEIVERS[:1], [100.0])
    with pytest.raises(GeometryError, match=r"is on face \d+ of the body, not on face 0"):
        heard.field([Piston(0.03, (0.0, 0.19, -0.1))])
    with pytest.raises(GeometryError, match="touches or crosses an edge"):
        heard.field([Piston(0.03, (0.1, 0.0, 0.0))])
    with pytest.raises(ValueError, match="at least one piston"):
        heard.field([])
    with pytest.raises(GeometryError, match="the body has no face 17; it has 6"):
        face_field(BOX, 17, RECEIVERS[:1], [100.0])
    with pytest.raises(GeometryError, match="inside the body"):
        face_field(BOX, 0, np.array([[0.0, 0.0, -0.1]]), [100.0])
