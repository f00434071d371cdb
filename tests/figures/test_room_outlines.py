"""Bodies show in the room as they are: outlines and edges against coordinates found by hand."""

from __future__ import annotations

import numpy as np
import pytest

from acoustics.cabinet import Body, rounded, sloped_front, thin_plate, truncated_pyramid
from acoustics.figures.outline import silhouette, visible_edges
from acoustics.figures.room import ABOVE, SIDE, draw_room
from acoustics.listening.plan import RoomPlan

FROM_ABOVE, FROM_THE_LEFT, FROM_THE_FRONT = (0.0, 1.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 0.0, 1.0)

# tan(lean) = 1/4: the front reaches from z = 0.05 m at the bottom to −0.05 m at the top.
SLOPED = sloped_front(width=0.2, height=0.4, depth=0.3, lean=float(np.arctan(0.25)))
PYRAMID = truncated_pyramid(front=(0.2, 0.3), back=(0.3, 0.4), depth=0.25)


def rows(points):
    return sorted(map(tuple, np.round(points, 9) + 0.0))


def edges(body, toward_eye):
    ends = visible_edges(body.points, np.array(toward_eye))
    return sorted(tuple(rows(edge)) for edge in ends)


def turned(points, degrees):
    """About the vertical, to the right."""
    x, y, z = points.T
    c, s = np.cos(np.deg2rad(degrees)), np.sin(np.deg2rad(degrees))
    return np.stack([x * c + z * s, y, z * c - x * s], axis=-1)


def plan_of(**cabinets):
    axes = {name: np.array([[0, 0.2, 0], [0, 0.2, 1.0]]) for name in cabinets}
    return RoomPlan(cabinets, axes, {"main": np.array([[0.0, 0.9, 2.5]])}, {})


def test_a_pyramid_from_above_is_a_trapezium():
    outline = silhouette(PYRAMID.points[:, ABOVE])
    assert rows(outline) == [(-0.15, -0.25), (-0.1, 0), (0.1, 0), (0.15, -0.25)]


def test_a_slope_from_the_side_is_a_trapezium():
    outline = silhouette(SLOPED.points[:, SIDE])
    assert rows(outline) == [(-0.25, -0.2), (-0.25, 0.2), (-0.05, 0.2), (0.05, -0.2)]


def test_an_outline_goes_round():
    """Twice the area of the trapezium by the shoelace formula: (0.3 + 0.2) m × 0.4 m."""
    x, y = silhouette(SLOPED.points[:, SIDE]).T
    assert abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) == pytest.approx(0.2)


@pytest.mark.parametrize(
    ("toe_in", "end"), [(0.0, (0.15, 0.0)), (30.0, (0.15 * 0.75**0.5, -0.075))]
)
def test_a_plate_from_above_is_a_line(toe_in, end):
    plate = thin_plate([(-0.15, -0.2), (0.15, -0.2), (0.15, 0.2), (-0.15, 0.2)])
    outline = silhouette(turned(plate.points, toe_in)[:, ABOVE])
    assert outline.shape == (2, 2)
    x, z = end
    assert rows(outline) == pytest.approx(np.array([(-x, -z), (x, z)]))
    assert visible_edges(plate.points, np.array(FROM_ABOVE)).size == 0


def test_the_upper_edge_of_a_slope_shows_from_above():
    inside = ((-0.1, 0.2, -0.05), (0.1, 0.2, -0.05))
    assert inside in edges(SLOPED, FROM_ABOVE)
    # The lower edge of the back is hidden.
    assert ((-0.1, -0.2, -0.25), (0.1, -0.2, -0.25)) not in edges(SLOPED, FROM_ABOVE)


def test_the_front_of_a_pyramid_shows_from_the_front_with_four_edges_to_its_back():
    seen = edges(PYRAMID, FROM_THE_FRONT)
    assert len(seen) == 12  # front, back and those between: nothing is hidden
    assert ((-0.15, -0.2, -0.25), (-0.1, -0.15, 0.0)) in seen
    # From behind the front's edges and those that lead to it are hidden.
    assert len(edges(PYRAMID, (0.0, 0.0, -1.0))) == 4


def test_a_rounded_edge_shows_no_facets():
    body = rounded(Body.box(width=0.2, height=0.4, depth=0.3), 0.03, ("front left", "front right"))
    ends = visible_edges(body.with_facets([8, 8]).points, np.array(FROM_THE_FRONT))
    # Only the outline: left and right edges of the back part, and round top and bottom.
    middle = ends.mean(axis=1)
    on_outline = np.isclose(np.abs(middle[:, 0]), 0.1) | np.isclose(np.abs(middle[:, 1]), 0.2)
    assert on_outline.all()
    outline = silhouette(body.with_facets([8, 8]).points[:, ABOVE])
    x, z = outline[outline[:, 1] > -0.03 + 1e-6].T
    # The facets stand for an arc of 30 mm about (±70, −30) mm, to 0.4 mm.
    from_middle = np.hypot(np.abs(x) - 0.07, z + 0.03)
    assert from_middle == pytest.approx(0.03, abs=4e-4)


def test_the_nearer_cabinet_hides_the_farther(axes):
    left, right = (SLOPED.points + np.array([across, 0.8, 0.0]) for across in (-1.0, 1.0))
    draw_room(axes, plan_of(right=right, left=left), SIDE, "from the left")
    near = [patch for patch in axes.patches if patch.get_facecolor()[3] == 1.0]
    assert len(near) == len(axes.patches) == len(axes.collections) == 2
    drawn = [child for child in axes.get_children() if child in (*axes.patches, *axes.collections)]
    assert drawn == [axes.patches[0], axes.collections[0], axes.patches[1], axes.collections[1]]
    assert len({child.get_zorder() for child in drawn}) == 1


def test_which_cabinet_is_the_nearer(axes):
    """From the left the left one is; it is drawn last, however the plan lists them."""
    tall, low = SLOPED.points * [1, 2, 1], SLOPED.points
    aside = np.array([1.0, 0.0, 0.0])
    draw_room(axes, plan_of(left=tall - aside, right=low + aside), SIDE, "")
    assert np.ptp(axes.patches[-1].get_xy()[:, 1]) == pytest.approx(0.8)
    assert np.ptp(axes.patches[0].get_xy()[:, 1]) == pytest.approx(0.4)


@pytest.mark.parametrize("toe_in", [0.0, 30.0])
def test_a_plate_is_drawn(axes, toe_in):
    plate = thin_plate([(-0.15, -0.2), (0.15, -0.2), (0.15, 0.2), (-0.15, 0.2)])
    draw_room(axes, plan_of(single=turned(plate.points, toe_in)), ABOVE, "from above")
    axes.figure.draw_without_rendering()
    (patch,) = axes.patches
    assert len({tuple(point) for point in patch.get_xy()}) == 2
