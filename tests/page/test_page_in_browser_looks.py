"""The live page for every eye and screen: it fits, is accessible, takes names only as text."""

from __future__ import annotations

import pytest

from support.browser import overflow, violations
from support.page_stand_in import stand_in
from support.page_tabs import WIDTHS, drag, driver, looked_at, open_all, settled

pytestmark = pytest.mark.browser

HOSTILE = "<script>document.title='x'</script><img src=x onerror=alert(1)>"
TURNED = "‮retfoow gnol yrev " + "woofer" * 40


ENLARGED = {"twice": (640, 450), "four times": (320, 225)}
"""CSS pixels that are left of a window of 1280 by 900 (WCAG 2.2, 1.4.4 and 1.4.10)"""


@pytest.fixture
def tabs(browser, request):
    about = getattr(request, "param", {})
    with stand_in(**about) as server, looked_at(browser, server.address) as opened:
        opened.server = server
        yield opened


@pytest.mark.parametrize("size", WIDTHS.values(), ids=WIDTHS.keys())
def test_it_fits_and_is_accessible(tabs, size):
    tab = tabs.open(size)
    open_all(tab)
    assert overflow(tab) <= 0
    assert violations(tab) == []
    drag(tab, "tweeter", 0, 30)  # with a warning, and something to undo
    settled(tab)
    tab.get_by_role("button", name="Map its places").click()
    tab.get_by_role("button", name="Move it to the best place").wait_for()
    assert overflow(tab) <= 0
    assert violations(tab) == []


@pytest.mark.parametrize("tabs", [{"title": HOSTILE, "names": (HOSTILE, TURNED)}], indirect=True)
@pytest.mark.parametrize("size", WIDTHS.values(), ids=WIDTHS.keys())
def test_hostile_names_are_only_text(tabs, size):
    tabs.server.clashing = {f"drivers.{HOSTILE}": {"mine": HOSTILE, "theirs": TURNED}}
    tab = tabs.open(size)
    open_all(tab)
    tab.locator("#places input").first.fill("7")
    tab.locator("#places input").first.press("Enter")
    settled(tab)
    tab.locator("#save").click()
    tab.locator("#clash").wait_for(state="visible")
    tabs.server.tell({"say": "trouble", "words": HOSTILE})
    assert HOSTILE in tab.locator("#clash-keys").inner_text()
    assert tab.locator("main script, main img, dialog script, dialog img").count() == 0
    assert tab.title().startswith("<script>")
    assert overflow(tab) <= 0


@pytest.mark.parametrize("size", ENLARGED.values(), ids=ENLARGED.keys())
def test_it_fits_enlarged(tabs, size):
    tab = tabs.open(size)
    open_all(tab)
    assert overflow(tab) <= 0
    drag(tab, "tweeter", 8, 0)
    settled(tab)


def test_nothing_jumps_while_it_is_dragged(tabs):
    """Chromium's own measure of unexpected shifts of layout, and the height of the page."""
    tab = tabs.open()
    tab.evaluate(
        """() => {
            window.shifted = 0;
            new PerformanceObserver((list) => {
                for (const each of list.getEntries()) window.shifted += each.value;
            }).observe({ type: "layout-shift" });
        }"""
    )
    height = tab.evaluate("document.documentElement.scrollHeight")
    drag(tab, "tweeter", 30, 5, steps=30)
    settled(tab)
    assert tab.evaluate("document.documentElement.scrollHeight") == height
    assert tab.evaluate("window.shifted") < 0.01


def test_the_front_stays_in_sight_on_a_tablet(tabs):
    tab = tabs.open(WIDTHS["tablet"])
    tab.mouse.move(400, 900)
    tab.mouse.wheel(0, 700)
    tab.wait_for_timeout(200)
    box = driver(tab, "tweeter").bounding_box()
    assert 0 < box["y"] < WIDTHS["tablet"][1] / 2
    assert tab.evaluate("window.scrollY") > 300


@pytest.mark.parametrize("size", WIDTHS.values(), ids=WIDTHS.keys())
def test_what_is_touched_is_as_large_as_a_finger(tabs, size):
    """44 px is the size of WCAG 2.2, 2.5.5 (level AAA); 24 px that of 2.5.8 (AA)."""
    tab = tabs.open(size)
    open_all(tab)
    small = tab.evaluate(
        """() => [...document.querySelectorAll(
                "button, select, summary, input:not([type=radio]), label.choice, .driver .reach")]
            .filter((each) => each.checkVisibility())
            .map((each) => [each.outerHTML.slice(0, 80), each.getBoundingClientRect().height])
            .filter(([, height]) => height < 43.9)"""
    )
    assert small == []


def test_labels_of_an_axis_do_not_touch(tabs):
    for size in WIDTHS.values():
        tab = tabs.open(size)
        touching = tab.evaluate(
            """() => [...document.querySelectorAll("svg.chart")].flatMap((chart) => {
                const boxes = [...chart.querySelectorAll("text")].map(
                    (each) => [each.textContent, each.getBoundingClientRect()]);
                return boxes.flatMap(([a, p], i) => boxes.slice(i + 1).filter(([, q]) =>
                    p.left < q.right && q.left < p.right && p.top + 2 < q.bottom &&
                    q.top + 2 < p.bottom).map(([b]) => `${a} / ${b}`));
            })"""
        )
        assert touching == [], size


def test_it_moves_nothing_for_those_who_want_no_motion(tabs):
    tab = tabs.open(reduced_motion="reduce")
    assert tab.evaluate("document.getAnimations().length") == 0
    durations = tab.eval_on_selector_all(
        "button", "all => all.map(each => getComputedStyle(each).transitionDuration)"
    )
    assert set(durations) == {"0s"}


def test_the_first_stop_of_the_keyboard_leads_to_the_curves(tabs):
    tab = tabs.open(WIDTHS["phone"])
    tab.keyboard.press("Tab")
    assert tab.evaluate("document.activeElement.textContent") == "Skip to the curves"
    tab.keyboard.press("Enter")
    assert tab.evaluate("document.activeElement.id") == "curves"
