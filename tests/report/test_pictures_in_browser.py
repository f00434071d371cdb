"""Drawn figures of a report read off in a browser, held against the Dataset and the case."""

from __future__ import annotations

import io
import re
from dataclasses import replace

import numpy as np
import pytest
from matplotlib.image import imread

from acoustics.case import read_case
from acoustics.crossover.connections import ladders_of
from acoustics.figures.off_axis_map import STEPS
from acoustics.figures.style import LOUDNESS
from acoustics.prediction import predict
from acoustics.report.html.page import page_html
from support.browser import Opened, overflow, violations, without_complaint
from support.cases import CASES, make_case, make_driver
from support.reported import page_from, page_of

pytestmark = pytest.mark.browser

PHONE = 375


@pytest.fixture(scope="module")
def case():
    return replace(read_case(CASES / "compact-passive"), accuracy=0.5)


@pytest.fixture(scope="module")
def prediction(case):
    return predict(case)


@pytest.fixture(scope="module")
def file(case, prediction, tmp_path_factory):
    path = tmp_path_factory.mktemp("page") / "report.html"
    path.write_text(page_html(page_from(case, prediction)), encoding="utf-8")
    return path


@pytest.fixture
def opened(browser, file):
    """`opened(width, **more)`: the page as wide as that, without a complaint by the end."""
    tabs = Opened(browser, file.as_uri(), lambda url: url.startswith(("file:", "data:")))
    with without_complaint(tabs):
        yield lambda width=1400, **more: tabs.open((width, 900), **more)


PLACE = """(svg, [x, y]) => {
    const there = new DOMPoint(x, y).matrixTransform(svg.getScreenCTM());
    return [there.x, there.y];
}"""


def drawn(tab, name):
    """A figure's drawing, scrolled to."""
    svg = tab.locator(f"#{name}-figure svg.sheet")
    svg.scroll_into_view_if_needed()
    return svg


def in_window(tab, name, x, y):
    """Where user units of a figure are in the window."""
    return drawn(tab, name).evaluate(PLACE, [x, y])


def paper(tab, name):
    """Sides of a figure's first panel as its background is drawn, user units."""
    path = drawn(tab, name).locator(f'[id="{name}-axes_1"] > g > path').first.get_attribute("d")
    corners = np.array(re.findall(r"(-?[\d.]+) (-?[\d.]+)", path), dtype=float)
    return (*corners.min(axis=0), *corners.max(axis=0))


def on_map(tab, plane, frequency, angle):
    """Where a frequency and an angle are on a map, whose axes are as its labels say."""
    left, top, right, bottom = paper(tab, f"map-{plane}")
    x = left + np.log(frequency / 20.0) / np.log(1000.0) * (right - left)
    y = top + (180.0 - angle) / 360.0 * (bottom - top)
    return in_window(tab, f"map-{plane}", float(x), float(y))


def told(tab, name):
    figure = tab.locator(f"#{name}-figure")
    return [figure.locator(f"output.{each}").inner_text() for each in ("at", "thing")]


def number(text):
    return float(text.replace("−", "-"))


SAID = re.compile(r"([\d.]+) (k?)Hz, ([\d.]+)°(?: (\w+))?: (−?[\d.]+) dB relative to the axis")


def read_map(text):
    """Frequency, angle and level of what is told."""
    f, kilo, angle, way, level = SAID.fullmatch(text).groups()
    sign = -1 if way in ("left", "down") else 1
    return float(f) * (1000 if kilo else 1), sign * float(angle), number(level)


def level_over_axis(prediction, plane):
    pressure = np.abs(prediction.arc_total.sel(plane=plane))
    return 20 * np.log10(pressure / pressure.sel(angle=0.0))


PLACES = [
    ("horizontal", 1000.0, 60.0),
    ("horizontal", 5000.0, -92.5),
    ("vertical", 2000.0, 40.0),
    ("vertical", 300.0, -150.0),
]


@pytest.mark.parametrize(("plane", "frequency", "angle"), PLACES)
def test_the_pointer_reads_a_map_from_the_data(opened, prediction, plane, frequency, angle):
    tab = opened()
    tab.mouse.move(*on_map(tab, plane, frequency, angle))
    f, there, level = read_map(told(tab, f"map-{plane}")[0])
    # A pixel is about 2 % of frequency and half a degree: it is the nearest place or beside it.
    assert f == pytest.approx(frequency, rel=0.04)
    assert there == pytest.approx(angle, abs=2.6)
    wanted = level_over_axis(prediction, plane).sel(angle=there)
    at = wanted.sel(frequency=f, method="nearest")
    assert float(at.frequency) == pytest.approx(f, rel=0.006)  # told to three figures
    assert level == pytest.approx(float(at), abs=0.056)


def even_places(level):
    """By colours of a map: a frequency and an angle round which the level has that colour alone.

    Places are between the lines of the grid, which would be in the way.
    """
    places = {}
    for angle in np.arange(-172.5, 172.6, 15.0):
        for f in (30.0, 70.0, 140.0, 300.0, 700.0, 1400.0, 3000.0, 7000.0):
            box = level.sel(frequency=slice(f / 1.1, f * 1.1), angle=slice(angle - 5, angle + 5))
            low, high = (int(np.searchsorted(STEPS, end)) - 1 for end in (box.min(), box.max()))
            if 0 <= low == high < STEPS.size - 1:
                places[low] = f, angle
    return places


def test_the_colour_under_the_pointer_is_that_of_the_level_told(opened, prediction):
    tab = opened()
    places = even_places(level_over_axis(prediction, "horizontal"))
    assert len(places) >= 3
    tab.evaluate(
        "document.querySelectorAll('.cursor').forEach(each => { each.style.opacity = 0; })"
    )
    for band, (frequency, angle) in places.items():
        x, y = on_map(tab, "horizontal", frequency, angle)
        tab.mouse.move(x, y)
        level = read_map(told(tab, "map-horizontal")[0])[2]
        assert STEPS[band] - 0.05 <= level <= STEPS[band + 1] + 0.05
        shot = tab.screenshot(clip={"x": x - 1, "y": y - 1, "width": 3, "height": 3})
        wanted = LOUDNESS(int(band * (LOUDNESS.N - 1) / (STEPS.size - 2)))[:3]
        assert imread(io.BytesIO(shot))[1, 1, :3] == pytest.approx(wanted, abs=0.02)


def test_arrow_keys_go_over_a_map_the_way_they_point(opened, prediction):
    tab = opened()
    figure = tab.locator("#map-horizontal-figure")
    slider = figure.locator('input[data-along="x"]')
    slider.focus()
    f, angle, _ = read_map(told(tab, "map-horizontal")[0])
    tab.keyboard.press("ArrowRight")
    tab.keyboard.press("ArrowUp")
    tab.keyboard.press("ArrowUp")
    f_2, angle_2, level = read_map(told(tab, "map-horizontal")[0])
    assert f_2 > f
    assert angle_2 == angle + 5.0
    wanted = level_over_axis(prediction, "horizontal").sel(angle=angle_2)
    assert level == pytest.approx(float(wanted.sel(frequency=f_2, method="nearest")), abs=0.056)
    assert slider.get_attribute("aria-valuetext") == told(tab, "map-horizontal")[0]
    figure.locator('input[data-along="y"]').focus()
    tab.keyboard.press("End")
    assert read_map(told(tab, "map-horizontal")[0])[1] == 180.0


def test_the_map_over_ear_height_tells_the_level_over_that_at_the_ears(opened, prediction):
    tab = opened()
    left, top, right, bottom = paper(tab, "over-height")
    tab.mouse.move(*in_window(tab, "over-height", (left + right) / 2, (top + bottom) / 2))
    text = told(tab, "over-height")[0]
    found = re.fullmatch(
        r"([\d.]+) (k?)Hz, ([\d.]+) m above the floor: (−?[\d.]+) dB relative to ears at 0.95 m",
        text,
    )
    f = float(found[1]) * (1000 if found[2] else 1)
    main = prediction.sel(seat="main", speaker="left", drop=True)
    here = main.height_total.sel(frequency=f, height=float(found[3]), method="nearest")
    ears = main.seat_total.sel(surroundings="free space", ear_height=0.95)
    ears = ears.sel(frequency=f, method="nearest")
    wanted = 20 * np.log10(np.abs(complex(here)) / np.abs(complex(ears)))
    assert number(found[4]) == pytest.approx(wanted, abs=0.056)


def on_front(tab, right, up):
    """Where a place of the front (mm from its middle) is: by the arrows that measure its sides."""
    sides = drawn(tab, "layout").evaluate(
        """svg => [...svg.querySelectorAll("path")].map(path => path.getBBox())
            .filter(box => Math.abs(box.height / box.width - 380 / 220) < 0.01 && box.width > 100)
            .map(box => [box.x, box.y, box.width, box.height])[0]"""
    )
    x, y, wide, _ = sides
    scale = wide / 220.0
    return in_window(tab, "layout", x + (110.0 + right) * scale, y + (190.0 - up) * scale)


def test_the_layout_tells_places_as_the_case_file_has_them(opened, case):
    tab = opened()
    place = re.compile(
        r"(\d+) mm (right|left), (\d+) mm (up|down) of the middle of the front face "
        r"\((\d+) mm from its (left|right), (\d+) mm from its (lower|upper) end\)"
    )
    for right, up in ((-60.0, 150.0), (80.0, -120.0)):
        tab.mouse.move(*on_front(tab, right, up))
        text, thing = told(tab, "layout")
        across, side, high, way, *_ = place.fullmatch(text).groups()
        assert (side, way) == ("right" if right > 0 else "left", "up" if up > 0 else "down")
        assert float(across) == pytest.approx(abs(right), abs=1.0)
        assert float(high) == pytest.approx(abs(up), abs=1.0)
        beside, end = place.fullmatch(text)[5], place.fullmatch(text)[7]
        assert float(beside) == pytest.approx(110.0 - abs(right), abs=1.0)
        assert float(end) == pytest.approx(190.0 - abs(up), abs=1.0)
        assert thing == ""
    for driver in case.drivers:
        right, up = (1e3 * value for value in driver.position)
        half = 1e3 * driver.frame_diameter / 2
        tab.mouse.move(*on_front(tab, right, up))
        assert told(tab, "layout")[1].startswith(f"{driver.name}: driver, piston ⌀ ")
        tab.mouse.move(*on_front(tab, right + half - 2, up))
        assert told(tab, "layout")[1].startswith(f"{driver.name}: ")
        tab.mouse.move(*on_front(tab, right + half + 2, up))
        assert told(tab, "layout")[1] == ""


def test_the_keyboard_finds_what_is_on_another_face(opened):
    tab = opened()
    tab.locator("#layout-figure select").select_option(label="bass rear")
    where, thing = told(tab, "layout")
    assert where.startswith("0 mm right, 90 mm up of the middle of the back face")
    assert thing == "bass rear: port ⌀ 55 mm, centre at 0 mm right, 90 mm up"
    slider = tab.locator('#layout-figure input[data-along="y"]')
    slider.focus()
    tab.keyboard.press("ArrowDown")
    assert told(tab, "layout")[0].startswith("0 mm right, 89 mm up of the middle of the back face")


def test_every_part_of_the_schematic_is_named_under_the_pointer_and_by_the_keyboard(opened, case):
    tab = opened()
    figure = tab.locator("#schematic-figure")
    light = figure.locator("path.cursor")
    parts = [part for ladder in ladders_of(case) for rung in ladder.rungs for part in rung.parts]
    unit = {"inductor": (1e3, "mH"), "capacitor": (1e6, "µF"), "resistor": (1.0, "Ω")}
    for part in parts:
        figure.locator("select").select_option(label=part.name)
        factor, sign = unit[part.kind]
        words = told(tab, "schematic")[1]
        assert words.startswith(f"{part.name}: {part.kind} {factor * part.value:.4g} {sign}, ")
        assert light.get_attribute("visibility") == "visible"
        box = light.bounding_box()
        drawn(tab, "schematic")
        tab.mouse.move(2, 2)
        box = light.bounding_box()
        tab.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        assert told(tab, "schematic")[1] == words
        assert figure.locator("select option:checked").inner_text() == part.name


def test_beside_all_parts_nothing_is_lit(opened):
    tab = opened()
    figure = tab.locator("#schematic-figure")
    figure.locator("select").select_option(label="C1")
    box = drawn(tab, "schematic").bounding_box()
    tab.mouse.move(box["x"] + 3, box["y"] + box["height"] - 3)
    assert told(tab, "schematic") == ["", ""]
    assert figure.locator("path.cursor").get_attribute("visibility") == "hidden"


@pytest.mark.parametrize("name", ["layout", "map-horizontal", "schematic"])
def test_drawings_zoom_about_the_pointer_and_move(opened, name):
    tab = opened()
    svg = drawn(tab, name)
    whole = svg.get_attribute("viewBox").split()
    box = svg.bounding_box()
    place = box["x"] + 0.3 * box["width"], box["y"] + 0.4 * box["height"]
    tab.mouse.move(*place)
    before = told(tab, name)
    tab.mouse.wheel(0, -100)
    assert svg.get_attribute("viewBox").split() == whole  # the page scrolls
    box = drawn(tab, name).bounding_box()
    place = box["x"] + 0.3 * box["width"], box["y"] + 0.4 * box["height"]
    tab.mouse.move(*place)
    tab.keyboard.down("Control")
    tab.mouse.wheel(0, -100)
    tab.keyboard.up("Control")
    left, top, wide, high = map(float, svg.get_attribute("viewBox").split())
    assert wide == pytest.approx(0.8 * float(whole[2]), abs=0.1)
    tab.mouse.move(place[0] + 0.4, place[1])
    assert told(tab, name) == before
    tab.mouse.down()
    tab.mouse.move(place[0] - 20, place[1] - 20)
    tab.mouse.up()
    moved = list(map(float, svg.get_attribute("viewBox").split()))
    assert moved[0] > left
    assert moved[1] > top
    assert moved[2:] == [wide, high]
    tab.locator(f'#{name}-figure [data-do="reset"]').click()
    assert list(map(float, svg.get_attribute("viewBox").split())) == list(map(float, whole))


def test_a_chosen_part_comes_into_a_zoomed_drawing(opened):
    tab = opened()
    figure = tab.locator("#schematic-figure")
    figure.locator("select").select_option(label="R pad")
    for _ in range(3):
        figure.locator('[data-do="in"]').click()
    figure.locator("select").select_option(label="woofer")
    frame, light = drawn(tab, "schematic").bounding_box(), figure.locator("path.cursor")
    box = light.bounding_box()
    assert frame["x"] < box["x"] + box["width"] / 2 < frame["x"] + frame["width"]
    assert frame["y"] < box["y"] + box["height"] / 2 < frame["y"] + frame["height"]


def test_a_finger_reads_a_map_on_a_phone(opened, prediction):
    tab = opened(PHONE, has_touch=True)
    tab.touchscreen.tap(*on_map(tab, "vertical", 1000.0, 30.0))
    f, angle, level = read_map(told(tab, "map-vertical")[0])
    assert f == pytest.approx(1000.0, rel=0.06)
    wanted = level_over_axis(prediction, "vertical").sel(angle=angle)
    assert level == pytest.approx(float(wanted.sel(frequency=f, method="nearest")), abs=0.056)


def test_curves_of_drawings_are_told_from_the_data(opened, prediction):
    tab = opened()
    slider = tab.locator('#hand-over-figure input[data-along="x"]')
    slider.focus()
    tab.keyboard.press("Home")
    for _ in range(20):
        tab.keyboard.press("ArrowRight")
    where, words = told(tab, "hand-over")
    f = float(where.split()[0]) * (1000 if "kHz" in where else 1)
    on_axis = prediction.sel(plane="horizontal", angle=0.0).sel(frequency=f, method="nearest")
    wanted = 20 * np.log10(abs(complex(on_axis.arc_total)) / 20e-6)
    assert number(re.search(r"as built (−?[\d.]+) dB", words)[1]) == pytest.approx(
        wanted, abs=0.051
    )


def test_no_table_scrolls_on_a_phone(opened):
    cut = """[...document.querySelectorAll(".wide")]
        .filter(each => each.scrollWidth > each.clientWidth)
        .map(each => each.getAttribute("aria-label"))"""
    assert opened(PHONE).evaluate(cut) == []


def test_nothing_that_reads_off_is_printed(opened):
    tab = opened()
    tab.locator("#schematic-figure select").select_option(label="C1")
    tab.emulate_media(media="print")
    for which in ("output.thing", "select", "path.cursor"):
        assert not tab.locator(f"#schematic-figure {which}").is_visible()


EVIL = "<script>alert(1)</script>"
LONG = "the woofer with a name that no one would give to anything at all, ever, anywhere"


def test_hostile_and_long_names_are_told_as_they_are(browser, solve_free_field, tmp_path):
    drivers = [make_driver(EVIL, 0.05), make_driver(LONG, -0.05)]
    path = tmp_path / "report.html"
    page = page_of(make_case(drivers, title=EVIL, crossover=()), solve_free_field)
    path.write_text(page_html(page), encoding="utf-8")
    tabs = Opened(browser, path.as_uri(), lambda url: url.startswith(("file:", "data:")))
    with without_complaint(tabs):
        tab = tabs.open((PHONE, 900))
        for name in (EVIL, LONG):
            tab.locator("#layout-figure select").select_option(label=name)
            assert told(tab, "layout")[1].startswith(f"{name}: driver")
        assert overflow(tab) <= 0
        assert violations(tab) == []
