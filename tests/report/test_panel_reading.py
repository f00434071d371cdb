"""What a script is given to read drawn figures off: true numbers, in the right places."""

from __future__ import annotations

import base64
import json
import re
import struct

import numpy as np
import pytest

from acoustics.case import read_case
from acoustics.prediction import predict
from acoustics.report.html.pictures import draw_pictures
from acoustics.report.html.reading.packed import as_json
from acoustics.report.html.reading.panel import Field, Panel, Scale, Thing
from support.cases import CASES

SQUARE = {"name": "", "left": 100.0, "top": 50.0, "right": 200.0, "bottom": 250.0}


def told(panel):
    return json.loads(as_json((panel,)))[0]


def unpacked(field):
    """Values by row, in their unit: 16 bits each, the lower byte first, in hundredths."""
    packed = base64.b64decode(field["values"])
    steps = np.array(struct.unpack(f"<{len(packed) // 2}h", packed), dtype=float)
    steps[steps == -32768] = np.nan
    return steps.reshape(len(field["y"]), len(field["x"])) / 100


def test_a_field_keeps_its_numbers_to_half_a_hundredth():
    rng = np.random.default_rng(1)
    values = rng.uniform(-80.0, 20.0, (7, 5))
    values[2, 3], values[0, 0], values[6, 4] = np.nan, -np.inf, 1e9
    field = Field(np.arange(5.0), np.arange(7.0), values, "dB", "there")
    kept = unpacked(told(Panel(**SQUARE, x_ends=(0, 4), y_ends=(0, 6), field=field))["field"])
    known = np.isfinite(values) & (values < 300)
    assert np.abs(kept - values)[known].max() <= 0.005 + 1e-9
    assert np.isnan(kept[2, 3])
    # What is beyond 16 bits is as far as they reach.
    assert kept[0, 0] == pytest.approx(-327.67)
    assert kept[6, 4] == pytest.approx(327.67)


def test_a_thing_is_where_its_coordinates_are():
    thing = Thing("t", "w", middle=(0.0, 50.0), size=(20.0, 40.0))
    panel = Panel(**SQUARE, x_ends=(-50, 50), y_ends=(0, 100), things=(thing,))
    # 1 across is a unit, 1 up two; 0 is in the middle, 50 half way up.
    assert told(panel)["things"][0]["box"] == [140.0, 110.0, 160.0, 190.0]


def test_a_thing_is_large_enough_for_a_finger_and_right_side_up_in_a_turned_panel():
    thing = Thing("t", "w", middle=(0.0, 25.0), size=(1.0, 1.0))
    panel = Panel(**SQUARE, x_ends=(-50, 50), y_ends=(100, 0), things=(thing,))
    left, top, right, bottom = told(panel)["things"][0]["box"]
    assert (right - left, bottom - top) == (12.0, 12.0)
    assert (top + bottom) / 2 == 50.0 + 200.0 * 0.25


def test_what_is_told_is_plain_ascii_and_has_no_number_that_json_lacks():
    field = Field(np.array([1.0]), np.array([np.nan]), np.array([[np.nan]]), "dB", "“\u2028é")
    scale = Scale("Across", "mm", "rechts ü", "left")
    text = as_json((Panel(**SQUARE, x_ends=(0, 1), y_ends=(0, 1), x=scale, field=field),))
    assert text.isascii()
    assert "NaN" not in text
    assert json.loads(text)[0]["field"]["words"] == "“\u2028é"


@pytest.fixture(scope="module")
def passive(solve_free_field):
    case = read_case(CASES / "compact-passive")
    prediction = predict(case, solve=solve_free_field)
    return case, prediction, draw_pictures(case, prediction)


def ground(svg):
    """Sides of the first panel's paper in a drawn figure: left, top, right, bottom."""
    path = re.search(r'id="[\w-]+axes_1"><g id="[\w-]+"><path d="([^"]+)"', svg)[1]
    corners = np.array(re.findall(r"(-?[\d.]+) (-?[\d.]+)", path), dtype=float)
    (left, top), (right, bottom) = corners.min(axis=0), corners.max(axis=0)
    return left, top, right, bottom


@pytest.mark.slow
@pytest.mark.parametrize("name", ["map-horizontal", "map-vertical", "over-height", "hand-over"])
def test_a_panel_is_where_it_is_drawn(passive, name):
    drawing = passive[2][name]
    panel = drawing.reading[0]
    sides = panel.left, panel.top, panel.right, panel.bottom
    assert sides == pytest.approx(ground(drawing.svg), abs=0.05)


@pytest.mark.slow
@pytest.mark.parametrize("plane", ["horizontal", "vertical"])
def test_a_map_has_the_level_over_that_on_the_axis(passive, plane):
    _, prediction, drawn = passive
    panel = told(drawn[f"map-{plane}"].reading[0])
    pressure = np.abs(prediction.arc_total.sel(plane=plane))
    level = 20 * np.log10(pressure / pressure.sel(angle=0.0))
    field = panel["field"]
    kept = unpacked(field)
    for angle in (-177.5, -90.0, 0.0, 2.5, 60.0, 180.0):
        wanted = level.sel(angle=angle).values
        assert kept[field["y"].index(angle)] == pytest.approx(wanted, abs=0.006)
    assert field["y"][0] == -180.0
    assert (kept[0] == kept[-1]).all()  # straight behind, from either side
    assert field["x"] == pytest.approx(prediction.frequency.values, rel=1e-5)
    assert panel["log"]
    assert panel["x"]["ends"] == [20.0, 20_000.0]


@pytest.mark.slow
def test_the_layout_counts_as_the_case_file_does(passive):
    case, _, drawn = passive
    front, back = drawn["layout"].reading
    things = {thing.name: thing for thing in (*front.things, *back.things)}
    for driver in case.drivers:
        right, up = (1e3 * value for value in driver.position)
        assert things[driver.name].middle == pytest.approx((right, up), abs=1e-6)
        assert things[driver.name].size[0] == pytest.approx(1e3 * driver.frame_diameter)
    # As case.toml has them: "0 mm" and "-20 mm"; the port 90 mm above the middle of the back.
    assert things["woofer"].words.endswith("centre at 0 mm right, 20 mm down")
    assert things["bass rear"].words == "port ⌀ 55 mm, centre at 0 mm right, 90 mm up"
    assert front.x.edges == ((-110.0, "left"), (110.0, "right"))
    assert front.y.edges == ((-190.0, "lower"), (190.0, "upper"))
    # One to one: a millimetre is as long up as across.
    across = (front.right - front.left) / (front.x_ends[1] - front.x_ends[0])
    up = (front.bottom - front.top) / (front.y_ends[1] - front.y_ends[0])
    assert across == pytest.approx(up, rel=1e-6)


@pytest.mark.slow
def test_the_schematic_tells_what_the_case_and_the_parts_list_have(passive):
    _, _, drawn = passive
    (panel,) = drawn["schematic"].reading
    words = {thing.name: thing.words for thing in panel.things}
    # From case.toml; the rating is the parts list's.
    assert words["R pad"].startswith("resistor 8.2 Ω, in series with tweeter, to stand ")
    assert words["L1"].startswith("inductor 0.47 mH, wire 0.37 Ω, across, for tweeter, to stand ")
    assert words["L1"].endswith(" rms")
    assert words["C2"].startswith("capacitor 4.7 µF, with 0.05 Ω of its own, in series with")
    assert words["woofer"].startswith("driver, polarity normal")


@pytest.mark.slow
def test_curves_are_told_where_they_are_drawn(passive):
    _, prediction, drawn = passive
    levels, _phase = drawn["hand-over"].reading
    total = next(trace for trace in levels.traces if trace.name == "as built")
    on_axis = prediction.arc_total.sel(plane="horizontal", angle=0.0)
    wanted = 20 * np.log10(np.abs(on_axis.sel(frequency=total.at)) / 20e-6)
    assert total.values == pytest.approx(wanted.values, abs=1e-6)
    assert total.at[0] >= levels.x_ends[0]
    (heights,) = drawn["ear-height"].reading
    assert heights.along == "y"
    assert {trace.name for trace in heights.traces} >= {"at the crossover"}


@pytest.mark.slow
def test_the_room_tells_places_of_the_room(passive):
    case, _, drawn = passive
    above, aside = drawn["room"].reading
    things = {thing.name: thing for thing in above.things}
    assert things["ears, main seat"].middle == pytest.approx((0.0, case.seat.main.distance))
    assert things["left cabinet"].middle[0] < 0 < things["right cabinet"].middle[0]
    assert aside.y.name == "Up"
