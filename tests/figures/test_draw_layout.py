"""The drawing of the front face is to scale and measured from its lower left corner."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.patches import Circle, Polygon

from acoustics.figures.layout import draw_layout, draw_layout_notes, spread


def test_layout_is_to_scale_in_millimetres(axes, case, prediction):
    draw_layout(axes, prediction)
    assert axes.get_aspect() == 1.0
    (face,) = [patch for patch in axes.patches if isinstance(patch, Polygon)]
    corners = {tuple(np.round(corner, 6) + 0.0) for corner in face.get_xy()}
    assert corners == {(0, 0), (220, 0), (220, 800), (0, 800)}
    circles = {
        (round(c.center[0], 6), round(c.center[1], 6), round(2 * c.radius, 6))
        for c in axes.patches
        if isinstance(c, Circle)
    }
    expected = set()
    for driver in case.drivers:
        x, y = 1000 * driver.position[0] + 110, 1000 * driver.position[1] + 400
        for diameter in (driver.piston_diameter, driver.frame_diameter):
            expected.add((round(x, 6), round(y, 6), round(1000 * diameter, 6)))
    assert circles == expected


def test_measures_are_written(axes, prediction):
    draw_layout(axes, prediction)
    texts = [text.get_text() for text in axes.texts]
    for measure in ("100 woofer", "500 midrange", "650 tweeter", "110", "140", "220", "800"):
        assert measure in texts


def test_reference_axis_is_a_cross(axes, prediction):
    draw_layout(axes, prediction)
    (cross,) = [line for line in axes.lines if line.get_marker() == "+"]
    assert (cross.get_xdata()[0], cross.get_ydata()[0]) == pytest.approx((140, 650))


def test_notes_say_what_is_not_drawn(axes, prediction):
    draw_layout_notes(axes, prediction)
    text = "\n".join(text.get_text() for text in axes.texts)
    assert "220 wide, 800 high, 300 deep" in text
    assert "100 above the floor" in text
    assert "piston ⌀ 150, frame ⌀ 190" in text
    assert "140 right, 650 up" in text
    assert "mm" in text


def test_measures_do_not_collide():
    moved = spread(np.array([100.0, 102.0, 300.0]), 20.0)
    assert np.diff(moved).min() >= 20 - 1e-9
    np.testing.assert_array_equal(spread(np.array([1.0, 50.0]), 20.0), [1.0, 50.0])
