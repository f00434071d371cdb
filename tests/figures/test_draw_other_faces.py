"""Faces beside the front are drawn as one sees them from outside, to one scale."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.patches import Circle, Polygon

from acoustics.case.design.model import Cabinet, Chamfer, FrequencyGrid, Rounding
from acoustics.figures.layout_words import NOTE_COLUMNS, layout_words
from acoustics.figures.other_faces import draw_face, draw_faces, other_faces
from acoustics.figures.sheets import layout_sheet
from acoustics.figures.style import new_figure
from acoustics.prediction import predict

BOX = Cabinet(0.2, 0.4, 0.3, 0.6)


@pytest.fixture
def drawn(make_case, solve_free_field):
    """`drawn(cabinet, *drivers)`: a prediction of these drivers on that cabinet."""

    def make(cabinet, *drivers):
        grid = FrequencyGrid(500.0, 1000.0, 1)
        case = make_case(drivers, cabinet=cabinet, frequencies=grid, arc_step=90.0)
        return predict(case, solve=solve_free_field)

    return make


def circles(axes):
    """Centre in mm, diameter in mm and dashes of each circle."""
    return {
        (*np.round(patch.center, 6).tolist(), round(2 * patch.radius, 6), patch.get_linestyle())
        for patch in axes.patches
        if isinstance(patch, Circle)
    }


def face_of(axes):
    _, face = (patch for patch in axes.patches if isinstance(patch, Polygon))
    return {tuple(np.round(corner, 6) + 0.0) for corner in face.get_xy()}


def front_at(axes):
    """Which way from the drawing's middle the word lies."""
    (word,) = [text for text in axes.texts if text.get_text() == "front"]
    return tuple(np.sign(np.round(word.xy, 6)))


@pytest.mark.parametrize(
    ("face", "size", "way"),
    [
        # Looking at the left flank one has the front at one's right, at the right flank left.
        ("left", (300, 400), (1, 0)),
        ("right", (300, 400), (-1, 0)),
        # From above with the back away from one, from below with the front away from one.
        ("top", (200, 300), (0, -1)),
        ("bottom", (200, 300), (0, 1)),
    ],
)
def test_a_face_from_outside(axes, drawn, make_driver, face, size, way):
    one = make_driver("one", face=face, position=(0.03, -0.05), piston_diameter=0.06)
    other = make_driver("other", face="back")
    draw_face(axes, drawn(BOX, make_driver("front"), one, other), face)
    half_width, half_height = size[0] / 2, size[1] / 2
    assert face_of(axes) == {
        (x, y) for x in (-half_width, half_width) for y in (-half_height, half_height)
    }
    assert circles(axes) == {(30, -50, 60, "-"), (30, -50, 30, "-")}
    assert front_at(axes) == way


def test_the_back_names_no_front(axes, drawn, make_driver):
    draw_face(axes, drawn(BOX, make_driver("port", face="back")), "back")
    assert not axes.texts
    assert axes.get_title(loc="left") == "back face"


@pytest.mark.parametrize("thickness", [0.0, 0.018])
def test_what_sounds_on_both_sides_of_a_plate_shows_from_behind(
    axes, drawn, make_driver, thickness
):
    """30 mm to the right from the front is 30 mm to the left from behind."""
    both = make_driver("both", position=(0.03, -0.1), both_sides=True)
    rear = make_driver("rear", position=(0.05, 0.1), face="back")
    ahead = make_driver("ahead", position=(-0.05, 0.1))
    draw_face(
        axes, drawn(Cabinet(0.2, 0.4, thickness, 0.6, shape="plate"), both, rear, ahead), "back"
    )
    assert circles(axes) == {
        (-30, -100, 25, "--"), (-30, -100, 30, "--"), (50, 100, 25, "-"), (50, 100, 30, "-")
    }  # fmt: skip


def test_rounded_edges_leave_the_flat_part(axes, drawn, make_driver):
    """An arc of 30 mm takes 30 mm, a facet of 10° that touches it 30 tan 5° = 2.6 mm less."""
    cabinet = Cabinet(0.2, 0.4, 0.3, 0.6, rounds=(Rounding("front left", 0.03),))
    draw_face(axes, drawn(cabinet, make_driver("one", face="left")), "left")
    x, y = np.array(sorted(face_of(axes))).T
    assert (x.min(), y.min(), y.max()) == (-150, -200, 200)
    assert x.max() == pytest.approx(122.6, abs=0.3)


def test_a_chamfer_by_its_edge(axes, drawn, make_driver):
    """40 mm off both faces make it 40√2 = 56.6 mm wide; from outside the front is at its right."""
    cabinet = Cabinet(0.2, 0.4, 0.3, 0.6, chamfers=(Chamfer("front left", (0.04, 0.04)),))
    face = "front left chamfer"
    prediction = drawn(cabinet, make_driver("one", face=face, position=(0.005, 0.1)))
    draw_face(axes, prediction, face)
    half = np.round(20 * np.sqrt(2), 6)
    assert face_of(axes) == {(x, y) for x in (-half, half) for y in (-200, 200)}
    assert circles(axes) == {(5, 100, 25, "-"), (5, 100, 30, "-")}
    assert front_at(axes) == (1, 0)
    assert axes.get_title(loc="left") == face
    words = [line for _, line in layout_words(prediction)]
    assert "  front left chamfer: 5 right," in words
    assert max(map(len, words)) <= NOTE_COLUMNS


def test_all_faces_to_one_scale(drawn, make_driver):
    prediction = drawn(BOX, *(make_driver(face, face=face) for face in ("back", "front", "top")))
    assert other_faces(prediction) == ["back", "top"]
    figure, axes = new_figure(3.0, columns=2)
    draw_faces(list(axes[0]), prediction)
    figure.draw_without_rendering()
    scales = [panel.transData.get_matrix()[[0, 1], [0, 1]] for panel in axes[0]]
    assert np.ptp(scales) == pytest.approx(0, abs=1e-9)


def test_a_sheet_has_them_below_the_front(drawn, make_driver):
    drivers = [make_driver(face, face=face) for face in ("front", "left", "right", "bottom")]
    figure = layout_sheet(drawn(BOX, *drivers))
    titles = [panel.get_title(loc="left") for panel in figure.axes]
    assert titles == ["", "", "left face", "right face", "bottom face"]
    figure.draw_without_rendering()
    renderer = figure.canvas.get_renderer()
    front, notes, *others = (panel.get_tightbbox(renderer) for panel in figure.axes)
    assert max(other.y1 for other in others) < min(front.y0, notes.y0)
    for panel in figure.axes[2:]:
        words = [*panel.texts, panel._left_title]
        boxes = [word.get_window_extent(renderer) for word in words if word.get_text()]
        assert not any(a.overlaps(b) for a in boxes for b in boxes if a is not b)


EIGHT = [f"{at} {side}" for at in ("front", "back") for side in ("left", "right", "top", "bottom")]


@pytest.mark.parametrize(("edges", "rows"), [(EIGHT[:5], 1), (EIGHT, 2)])
def test_many_chamfers_with_drivers_in_rows_of_five_at_most(drawn, make_driver, edges, rows):
    cabinet = Cabinet(0.2, 0.4, 0.3, 0.6, chamfers=tuple(Chamfer(e, (0.03, 0.03)) for e in edges))
    drivers = [make_driver(edge, face=f"{edge} chamfer") for edge in edges]
    figure = layout_sheet(drawn(cabinet, make_driver("front"), *drivers))
    figure.draw_without_rendering()
    renderer = figure.canvas.get_renderer()
    others = figure.axes[2:]
    assert [panel.get_title(loc="left").replace("\n", " ") for panel in others] == [
        f"{edge} chamfer" for edge in edges
    ]
    assert (
        len({round(panel.get_subplotspec().get_position(figure).y0, 6) for panel in others}) == rows
    )
    words = [word for panel in others for word in (*panel.texts, panel._left_title)]
    boxes = [word.get_window_extent(renderer) for word in words if word.get_text()]
    assert not any(a.overlaps(b) for a in boxes for b in boxes if a is not b)


def test_no_row_without_them(drawn, make_driver):
    assert len(layout_sheet(drawn(BOX, make_driver("front"))).axes) == 2
