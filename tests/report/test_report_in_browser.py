"""The page of a report as a browser has it: read off, zoomed, narrow, printed, accessible."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from acoustics.case import read_case
from acoustics.report.html.page import page_html
from support.browser import Opened, overflow, violations, without_complaint
from support.cases import CASES
from support.reported import page_of

pytestmark = pytest.mark.browser

WIDTHS = {"phone": 375, "tablet": 820, "wide": 1400}
PAPER = 794
"""CSS pixels: A4 at 96 to the inch"""


@pytest.fixture(scope="module")
def page():
    """Of a shipped design, a little coarser."""
    case = read_case(CASES / "compact-passive")
    return page_of(replace(case, accuracy=0.5))


@pytest.fixture(scope="module")
def file(page, tmp_path_factory):
    path = tmp_path_factory.mktemp("page") / "report.html"
    path.write_text(page_html(page), encoding="utf-8")
    return path


@pytest.fixture
def opened(browser, file):
    """`opened(width, **more)`: the page as wide as that, without a complaint by the end."""
    tabs = Opened(browser, file.as_uri(), lambda url: url.startswith(("file:", "data:")))
    with without_complaint(tabs):
        yield lambda width=1400, **more: tabs.open((width, 900), **more)


@pytest.mark.parametrize("width", WIDTHS.values(), ids=WIDTHS.keys())
def test_it_fits_and_is_accessible(opened, width):
    tab = opened(width)
    assert overflow(tab) <= 0
    assert violations(tab) == []


def test_tables_of_a_wide_screen_need_no_scrolling(opened):
    cut = """[...document.querySelectorAll(".wide")]
        .filter(each => each.scrollWidth > each.clientWidth)
        .map(each => each.getAttribute("aria-label"))"""
    assert opened(1400).evaluate(cut) == []


def test_it_prints_on_a4(opened):
    tab = opened(PAPER)
    tab.emulate_media(media="print")
    assert overflow(tab) <= 0
    assert not tab.locator(".controls").first.is_visible()
    assert violations(tab) == []
    sheets = tab.pdf(format="A4")
    assert len(re.findall(rb"/Type /Page\b", sheets)) > 5


def test_no_figure_is_cut_by_the_end_of_a_sheet(opened):
    tab = opened(PAPER)
    tab.emulate_media(media="print")
    rules = tab.eval_on_selector_all(
        "figure", "all => all.map(each => getComputedStyle(each).breakInside)"
    )
    assert set(rules) == {"avoid"}
    # One that were higher than a sheet would be cut all the same: 297 mm less both margins.
    heights = tab.eval_on_selector_all("figure", "all => all.map(each => each.offsetHeight)")
    assert max(heights) < (297 - 32) / 25.4 * 96


def chart_of(page, name):
    return next(
        block
        for part in page.sections
        for block in part.blocks
        if getattr(block, "name", "") == name
    )


def place_of(tab, name, frequency):
    """Where a frequency is in a chart, in the window, half way up; the chart is scrolled to."""
    svg = tab.locator(f"#{name}-figure svg.chart")
    svg.scroll_into_view_if_needed()
    x, y = svg.evaluate(
        """(svg, f) => {
            const [left, top, right, bottom] = svg.dataset.plot.split(" ").map(Number);
            const [low, high] = svg.dataset.range.split(" ").map(Number);
            const share = Math.log(f / low) / Math.log(high / low);
            const at = new DOMPoint(left + share * (right - left), (top + bottom) / 2);
            const there = at.matrixTransform(svg.getScreenCTM());
            return [there.x, there.y];
        }""",
        frequency,
    )
    return x, y


def told(tab, name):
    """Frequency and values that are read off."""
    figure = tab.locator(f"#{name}-figure")
    return figure.locator("output.at").inner_text(), figure.locator(".key output").all_inner_texts()


def in_words(value):
    return f"{value:.1f} dB".replace("-", "−") if np.isfinite(value) else "–"


@pytest.mark.parametrize("frequency", [100.0, 1000.0, 5000.0])
@pytest.mark.parametrize("name", ["reference-axis", "listening-window", "at-the-seat"])
def test_the_pointer_reads_what_was_predicted(opened, page, name, frequency):
    tab = opened()
    chart = chart_of(page, name)
    tab.mouse.move(*place_of(tab, name, frequency))
    _, values = told(tab, name)
    # A pixel is more than a per cent of frequency here: the nearest predicted or its neighbour.
    near = int(np.abs(np.log(chart.frequency / frequency)).argmin())
    wanted = [
        [in_words(float(f"{curve.values[i]:.5g}")) for curve in chart.curves]
        for i in (near - 1, near, near + 1)
    ]
    assert values in wanted


def test_the_keyboard_moves_and_zooms(opened, page):
    tab = opened()
    chart = chart_of(page, "reference-axis")
    slider = tab.locator("#reference-axis-figure input")
    slider.focus()
    before = int(slider.input_value())
    tab.keyboard.press("ArrowRight")
    tab.keyboard.press("ArrowRight")
    assert int(slider.input_value()) == before + 2
    words = slider.get_attribute("aria-valuetext")
    assert in_words(float(f"{chart.curves[0].values[before + 2]:.5g}")) in words
    curve = tab.locator("#reference-axis-figure .curve").first
    tab.keyboard.press("Escape")  # drawn anew by the script, from rounded values
    whole = curve.get_attribute("d")
    tab.keyboard.press("+")
    assert curve.get_attribute("d") != whole
    tab.keyboard.press("Escape")
    assert curve.get_attribute("d") == whole


def test_wheel_buttons_and_drag_zoom_and_move(opened):
    tab = opened()
    curve = tab.locator("#reference-axis-figure .curve").first
    tab.locator('#reference-axis-figure [data-do="reset"]').click()
    whole = curve.get_attribute("d")
    place = place_of(tab, "reference-axis", 1000.0)
    tab.mouse.move(*place)
    tab.mouse.wheel(0, -100)
    assert curve.get_attribute("d") == whole  # the page scrolls
    place = place_of(tab, "reference-axis", 1000.0)
    tab.mouse.move(*place)
    tab.keyboard.down("Control")
    tab.mouse.wheel(0, -100)
    tab.keyboard.up("Control")
    zoomed = curve.get_attribute("d")
    assert zoomed != whole
    tab.mouse.down()
    tab.mouse.move(place[0] + 40, place[1] + 20)
    tab.mouse.up()
    assert curve.get_attribute("d") not in (whole, zoomed)
    tab.locator('#reference-axis-figure [data-do="reset"]').click()
    assert curve.get_attribute("d") == whole
    tab.locator('#reference-axis-figure [data-do="in"]').click()
    assert curve.get_attribute("d") != whole


def test_zoomed_in_the_frequency_under_the_pointer_stays(opened):
    tab = opened()
    place = place_of(tab, "reference-axis", 2000.0)
    tab.mouse.move(*place)
    before, _ = told(tab, "reference-axis")
    tab.keyboard.down("Control")
    tab.mouse.wheel(0, -100)
    tab.keyboard.up("Control")
    tab.mouse.move(place[0], place[1] + 1)
    assert told(tab, "reference-axis")[0] == before


def test_it_is_a_picture_without_a_script(opened):
    tab = opened(java_script_enabled=False)
    assert tab.locator("#reference-axis-figure .curve").count() >= 3
    assert not tab.locator(".controls").first.is_visible()


def test_the_first_stop_of_the_keyboard_leads_to_the_answer(opened):
    tab = opened(WIDTHS["phone"])
    tab.keyboard.press("Tab")
    assert tab.evaluate("document.activeElement.textContent") == "Skip to the answer"
    box = tab.locator(".skip").bounding_box()
    assert box["x"] >= 0
    tab.keyboard.press("Enter")
    assert tab.evaluate("document.activeElement.id") == "answer"
