"""The drawing of the front face is to scale and measured from its lower left corner."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from matplotlib.patches import Circle, Polygon, Rectangle

from acoustics.case.design.enclosure_model import Enclosure, Port
from acoustics.case.design.model import Cabinet, Chamfer, FrequencyGrid, ReferenceAxis, Rounding
from acoustics.figures.layout import draw_layout, draw_layout_notes, spread
from acoustics.figures.layout_words import layout_words
from acoustics.figures.sheets import layout_sheet
from acoustics.prediction import predict
from support.boxes import parameters


def test_layout_is_to_scale_in_millimetres(axes, case, prediction):
    draw_layout(axes, prediction)
    assert axes.get_aspect() == 1.0
    assert faces(axes) == [{(0, 0), (220, 0), (220, 800), (0, 800)}] * 2
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


def test_what_opens_on_the_front_is_drawn_and_measured_there(
    axes, make_case, make_driver, solve_free_field
):
    slot = Port("slot", (0.16, 0.012), 0.1, (0.02, -0.16))
    rear = Port("rear", (0.05,), 0.1, (0.0, 0.1), face="back")
    grid = FrequencyGrid(500.0, 1000.0, 1)
    box = Enclosure("bass", "vented", ("woofer",), 0.014, ports=(slot, rear))
    case = make_case(
        [make_driver("woofer", small_signal=parameters(40.0, 0.4))],
        enclosures=(box,),
        frequencies=grid,
        arc_step=90.0,
    )
    prediction = predict(case, solve=solve_free_field)
    draw_layout(axes, prediction)
    wide, high = 1000 * case.cabinet.width, 1000 * case.cabinet.height
    (hole,) = [patch for patch in axes.patches if isinstance(patch, Rectangle)]
    assert (*hole.get_center(), hole.get_width(), hole.get_height()) == pytest.approx(
        (wide / 2 + 20, high / 2 - 160, 160, 12)
    )
    # Nothing that covers it is drawn later.
    front = max(patch.get_zorder() for patch in axes.patches if isinstance(patch, Polygon))
    assert hole.get_zorder() > front
    texts = [text.get_text() for text in axes.texts]
    assert f"{high / 2 - 160:.4g} bass slot" in texts
    assert f"{wide / 2 + 20:.4g}" in texts
    words = [line for _, line in layout_words(prediction)]
    assert "bass slot: port 160 × 12" in words
    assert not any("front face" in line for line in words)
    assert "  back face: 100 up" in words


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


def test_measures_of_several_lines_do_not_collide():
    """Lines of 10 mm: two of three and one line need 20 mm between their middles."""
    moved = spread(np.array([100.0, 105.0]), 10.0 * np.array([2.0]))
    assert moved == pytest.approx([92.5, 112.5])
    assert spread(np.array([]), np.array([])).size == 0


# tan(lean) = 1/4: along the face 1 m upright measures √17 / 4 m.
STEEP = float(np.degrees(np.arctan(0.25)))
SLANT = 17**0.5 / 4


@pytest.fixture
def shaped(make_case, make_driver, solve_free_field):
    """`shaped(cabinet, **changes)`: a prediction of drivers on that cabinet."""

    def make(cabinet, **changes):
        given = {"frequencies": FrequencyGrid(500.0, 1000.0, 1), "arc_step": 90.0, **changes}
        drivers = given.pop("drivers", (make_driver("woofer", -0.05), make_driver("tweeter", 0.08)))
        case = make_case(drivers, cabinet=cabinet, **given)
        return predict(case, solve=solve_free_field)

    return make


def corners(patch):
    return {tuple(np.round(corner, 6) + 0.0) for corner in patch.get_xy()}


def faces(axes):
    """Outline of the body and of its front face, mm."""
    return [corners(patch) for patch in axes.patches if isinstance(patch, Polygon)]


def centres(axes):
    return {tuple(np.round(patch.center, 6)) for patch in axes.patches if isinstance(patch, Circle)}


def words(axes):
    return [text.get_text() for text in axes.texts]


def test_a_pyramid_shows_its_flanks(axes, shaped):
    """Front 0.2 × 0.3 m, 0.05 m to the right of and 0.02 m below the back's centre, 0.3 × 0.4 m."""
    pyramid = Cabinet(
        0.3, 0.4, 0.25, 0.6, shape="pyramid", front=(0.2, 0.3), shift=(0.05, -0.02), bottom=-0.18
    )
    draw_layout(axes, shaped(pyramid))
    body, front = faces(axes)
    assert front == {(0, 0), (200, 0), (200, 300), (0, 300)}
    assert body == {(-100, -30), (200, -30), (200, 370), (-100, 370)}
    assert {"200", "300", "100 woofer", "230 tweeter"} <= set(words(axes))
    low, high = axes.get_xlim()
    assert low < -100
    assert high > 200


def test_a_sloped_front_is_measured_along_the_face(axes, shaped):
    sloped = Cabinet(0.2, 0.4, 0.3, 0.6, shape="sloped front", lean=STEEP)
    # The tweeter is 80 mm above the face's middle along the face: less, upright.
    prediction = shaped(sloped, reference=ReferenceAxis((0.0, 0.08 / SLANT), 2.0))
    draw_layout(axes, prediction)
    body, front = faces(axes)
    height = round(400 * SLANT, 6)
    assert front == {(0, 0), (200, 0), (200, height), (0, height)}
    # Looking square at the face one sees the top, 200 mm deep there, under atan 1/4.
    assert max(y for _, y in body) == pytest.approx(400 * SLANT + 200 / 17**0.5)
    (cross,) = [line for line in axes.lines if line.get_marker() == "+"]
    tweeter = max(centres(axes), key=lambda centre: centre[1])
    assert (cross.get_xdata()[0], cross.get_ydata()[0]) == pytest.approx(tweeter)
    axes.clear()
    draw_layout_notes(axes, prediction)
    assert "  front leans back 14°" in words(axes)
    assert "  100 right, 286.2 up" in words(axes)  # 200 √17 / 4 + 80


def test_a_front_that_leans_and_turns_says_so(axes, shaped):
    """Looking to (3, −4, 12) / 13: atan(3/12) to the right, and asin(4/13) down."""
    normal = np.array([3.0, -4.0, 12.0]) / 13
    up = np.array([0.0, 1.0, 0.0]) - normal[1] * normal
    up = up / np.linalg.norm(up)
    right = np.cross(up, normal)
    points = [
        x * right + y * up + z * normal for x in (-0.1, 0.1) for y in (-0.2, 0.2) for z in (-0.3, 0)
    ]
    width, height, depth = np.ptp(points, axis=0)
    bottom = float(np.min(points, axis=0)[1])
    given = tuple(tuple(map(float, point)) for point in points)
    cabinet = Cabinet(width, height, depth, 0.6, shape="corners", corners=given, bottom=bottom)
    prediction = shaped(cabinet, reference=ReferenceAxis((0.0, 0.0), 2.0))
    draw_layout(axes, prediction)
    assert faces(axes)[1] == {(0, 0), (200, 0), (200, 400), (0, 400)}
    (cross,) = [line for line in axes.lines if line.get_marker() == "+"]
    assert (cross.get_xdata()[0], cross.get_ydata()[0]) == pytest.approx((100, 200))
    axes.clear()
    draw_layout_notes(axes, prediction)
    assert f"  front leans forward {np.degrees(np.arcsin(4 / 13)):.3g}°" in words(axes)
    assert f"  front turned {np.degrees(np.arctan(3 / 12)):.3g}° to the right" in words(axes)


def test_cut_and_rounded_edges_do_not_move_the_measures(axes, shaped):
    """What a tape finds from the outer edges of the box, whatever is left of its front face."""
    chamfers = (Chamfer("front left", (0.02, 0.04), (0.04, 0.08)),)
    for cabinet, front in (
        (
            Cabinet(0.2, 0.4, 0.3, 0.6, rounds=(Rounding("front left", 0.03),)),
            {(30, 0), (200, 0), (200, 400), (30, 400)},
        ),
        (
            Cabinet(0.2, 0.4, 0.3, 0.6, chamfers=chamfers),
            {(20, 0), (200, 0), (200, 400), (40, 400)},
        ),
    ):
        axes.clear()
        draw_layout(axes, shaped(cabinet))
        assert faces(axes) == [{(0, 0), (200, 0), (200, 400), (0, 400)}, front]
        assert centres(axes) == {(100, 150), (100, 280)}
        assert {"200", "400", "100", "150 woofer", "280 tweeter"} <= set(words(axes))


def test_a_plate_and_what_sits_on_its_back(axes, shaped, make_driver):
    plate = Cabinet(0.2, 0.4, 0.018, 0.6, shape="plate")
    rear = make_driver("rear", position=(-0.03, 0.1), face="back")
    prediction = shaped(plate, drivers=(make_driver("front", -0.05, both_sides=True), rear))
    draw_layout(axes, prediction)
    assert centres(axes) == {(100, 150)}
    assert not [text for text in words(axes) if "rear" in text]
    axes.clear()
    draw_layout_notes(axes, prediction)
    assert "plate" in words(axes)
    assert "  200 wide, 400 high, 18 thick" in words(axes)
    at = words(axes).index("rear")
    assert words(axes)[at + 2] == "  back face: 30 left, 100 up"
    assert "on other faces: from the middle" in words(axes)
    assert words(axes)[words(axes).index("front") + 2] == "  sounds on both sides"
    assert words(axes).count("  sounds on both sides") == 1


def test_a_front_face_without_drivers(axes, shaped, make_driver):
    drivers = (make_driver("up", face="top"), make_driver("aside", -0.1, face="left"))
    prediction = shaped(Cabinet(0.2, 0.4, 0.3, 0.6), drivers=drivers)
    draw_layout(axes, prediction)
    assert not centres(axes)
    axes.clear()
    draw_layout_notes(axes, prediction)
    assert "  top face: in the middle" in words(axes)
    assert "  left face: 100 down" in words(axes)


def test_grey_beside_the_front_is_explained(axes, shaped):
    rounds = (Rounding("front left", 0.03),)
    grey = {
        Cabinet(0.2, 0.4, 0.3, 0.6): [],
        Cabinet(0.2, 0.4, 0.0, 0.6, shape="plate"): [],
        Cabinet(0.2, 0.4, 0.3, 0.6, rounds=rounds): ["grey: cut or rounded edges"],
        Cabinet(0.2, 0.4, 0.3, 0.6, shape="sloped front", lean=STEEP): ["grey: other faces"],
    }
    for cabinet, expected in grey.items():
        axes.clear()
        draw_layout_notes(axes, shaped(cabinet))
        assert [text for text in words(axes) if text.startswith("grey")] == expected


def test_a_plate_without_thickness_is_thin(axes, shaped):
    draw_layout_notes(axes, shaped(Cabinet(0.2, 0.4, 0.0, 0.6, shape="plate")))
    assert "  200 wide, 400 high, thin" in words(axes)


@pytest.mark.parametrize("count", [2, 8])
def test_a_sheet_grows_with_its_notes(shaped, make_driver, count):
    """Every line is on the page, none on another, none on the faces below."""
    drivers = [
        make_driver(f"driver {i}", -0.15 + 0.04 * i, face=face)
        for i, face in zip(range(count), ("front", "left", "back", "right") * 2, strict=False)
    ]
    figure = layout_sheet(shaped(Cabinet(0.2, 0.4, 0.3, 0.6), drivers=drivers))
    figure.draw_without_rendering()
    _, notes, *others = figure.axes
    boxes = [text.get_window_extent() for text in notes.texts]
    assert min(box.y0 for box in boxes) > max(panel.get_tightbbox().y1 for panel in others)
    assert not any(one.overlaps(other) for one, other in itertools.combinations(boxes, 2))
    assert len(boxes) > 3 * count


def test_a_wide_cabinet_with_many_drivers_fits_its_page(shaped, make_driver):
    """Labels stay apart and within the figure, drivers on other faces included."""
    across = [make_driver(f"the one at {x} mm", position=(x / 1000, 0.0)) for x in (-300, 0, 300)]
    others = [make_driver(f"side woofer number {i}", face="left") for i in range(2)]
    figure = layout_sheet(shaped(Cabinet(0.9, 0.26, 0.3, 0.6), drivers=(*across, *others)))
    figure.draw_without_rendering()
    drawn, (width, height) = figure.get_tightbbox(), figure.get_size_inches()
    assert min(drawn.x0, drawn.y0) >= 0
    assert drawn.x1 <= width
    assert drawn.y1 <= height
    boxes = [text.get_window_extent() for panel in figure.axes for text in panel.texts]
    boxes = [box for box in boxes if box.width > 1]
    assert not any(one.overlaps(other) for one, other in itertools.combinations(boxes, 2))
