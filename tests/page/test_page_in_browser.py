"""The live page under a hand: drivers move, curves follow, every control does what it says."""

from __future__ import annotations

import pytest

from support.page_sound import FREQUENCY, curves_of
from support.page_stand_in import stand_in
from support.page_tabs import curves, drag, driver, figure, looked_at, place, settled

pytestmark = pytest.mark.browser

PANELS = ("seat", "axis", "sides", "heights")


@pytest.fixture(scope="module")
def server():
    with stand_in() as one:
        yield one


@pytest.fixture
def tabs(browser, server):
    server.said.clear()
    with looked_at(browser, server.address) as opened:
        yield opened


def last_draft(server):
    return [each for each in server.said if each["ask"] == "hear"][-1]["draft"]


def test_the_curves_follow_a_driver_that_is_dragged(tabs, server):
    tab = tabs.open()
    before = {panel: curves(tab, panel) for panel in PANELS}
    assert all(d.startswith("M") for panel in before.values() for d in panel)
    drag(tab, "tweeter", 20, 0)
    settled(tab)
    right, up = place(tab, "tweeter")
    assert right > 10
    assert up == 125
    for panel in PANELS:
        assert curves(tab, panel) != before[panel]
    held = [each["held"] for each in server.said if each["ask"] == "hear"]
    assert True in held
    assert held[-1] is False
    assert last_draft(server)["places"]["tweeter"] == [pytest.approx(right / 1000), 0.125]
    assert tab.evaluate("performance.getEntriesByName('drag-to-curves').length") > 0


def test_a_frame_asks_once(tabs, server):
    """Two hundred moves within one task of the page: the first and the newest are asked."""
    tab = tabs.open()
    server.said.clear()
    driver(tab, "tweeter").evaluate(
        """(group) => {
            const at = (type, x) => group.dispatchEvent(new PointerEvent(type, {
                bubbles: true, pointerId: 1, clientX: 200 + x, clientY: 200 }));
            group.setPointerCapture = () => {};
            at("pointerdown", 0);
            for (let i = 1; i <= 200; i += 1) at("pointermove", i % 40);
        }"""
    )
    tab.wait_for_timeout(200)
    asked = [each for each in server.said if each["ask"] == "hear"]
    assert len(asked) == 2
    assert asked[-1]["draft"]["places"] != asked[0]["draft"]["places"]


@pytest.mark.parametrize(("grid", "step"), [("0.005", 5), ("0.01", 10)])
def test_it_is_dragged_on_a_grid(tabs, grid, step):
    tab = tabs.open()
    tab.locator("#places select").select_option(grid)
    drag(tab, "tweeter", 33, 0)
    right, _ = place(tab, "tweeter")
    assert right > 0
    assert right % step == 0


def test_alt_moves_a_tenth_of_the_way(tabs):
    tab = tabs.open()
    drag(tab, "tweeter", 40, 0)
    whole, _ = place(tab, "tweeter")
    tab.locator("#undo").click()
    tab.keyboard.down("Alt")
    drag(tab, "tweeter", 40, 0)
    tab.keyboard.up("Alt")
    assert place(tab, "tweeter")[0] == pytest.approx(whole / 10, abs=0.6)


def test_arrow_keys_move_it_and_the_move_is_one_step_back(tabs):
    tab = tabs.open()
    driver(tab, "woofer").focus()
    for key in ("ArrowRight", "ArrowRight", "Shift+ArrowDown"):
        tab.keyboard.press(key)
    assert place(tab, "woofer") == (2, -25)
    assert driver(tab, "woofer").get_attribute("aria-valuetext") == "2 mm right, 25 mm down"
    tab.wait_for_timeout(500)
    tab.keyboard.press("Control+z")
    assert place(tab, "woofer") == (0, -20)
    tab.keyboard.press("Control+Shift+z")
    assert place(tab, "woofer") == (2, -25)
    tab.keyboard.press("Control+z")
    tab.keyboard.press("Control+y")
    assert place(tab, "woofer") == (2, -25)


def test_numbers_take_a_comma_and_stay_within_the_limits(tabs, server):
    tab = tabs.open()
    field = tab.locator("#places fieldset").filter(has_text="tweeter").locator("input").first
    field.fill("12,5")
    field.press("Enter")
    settled(tab)
    assert last_draft(server)["places"]["tweeter"][0] == pytest.approx(0.0125)
    field.fill("900")
    field.press("Enter")
    assert field.input_value() == "60"
    assert tab.get_by_text("−60 to 60 mm").is_visible()
    field.fill("a little")
    field.press("Enter")
    assert field.get_attribute("aria-invalid") == "true"
    assert place(tab, "woofer") == (0, -20)


def test_it_cannot_be_dragged_off_the_front(tabs):
    tab = tabs.open()
    drag(tab, "tweeter", -300, 300)
    assert place(tab, "tweeter") == (-60, -140)


def test_where_it_cannot_be_is_said_in_words(tabs):
    tab = tabs.open()
    drag(tab, "tweeter", 0, 40)
    settled(tab)
    told = tab.locator("#told")
    assert "The frames of 'tweeter' and 'woofer' overlap." in told.inner_text()
    assert "blocked" in driver(tab, "tweeter").get_attribute("class")
    drag(tab, "tweeter", 0, 90)
    tab.locator("#state[data-state=refused]").wait_for()
    assert "cannot be heard" in told.inner_text()
    tab.locator("#undo").click()
    tab.locator("#undo").click()
    settled(tab)
    assert told.inner_text() == ""


@pytest.mark.parametrize(
    ("label", "typed", "key", "wanted"),
    [
        ("Ear height", "1,1", "ear_height", 1.1),
        ("Distance", "3.25 m", "distance", 3.25),
        ("Corner", "1800", "corners", [1800.0]),
        ("Delay of", "0.05", "delays", {"tweeter": 0.00005, "woofer": 0.0}),
    ],
)
def test_every_number_is_heard(tabs, server, label, typed, key, wanted):
    tab = tabs.open()
    before = curves(tab, "seat")
    field = tab.locator("#controls .field").filter(has_text=label).locator("input").first
    field.fill(typed)
    field.press("Enter")
    settled(tab)
    assert last_draft(server)[key] == pytest.approx(wanted)
    assert curves(tab, "seat") != before


def test_a_slider_moves_by_keys_and_tells_what_it_is(tabs, server):
    tab = tabs.open()
    slider = tab.locator('#controls input[type="range"]').first
    slider.focus()
    tab.keyboard.press("ArrowRight")
    settled(tab)
    assert last_draft(server)["ear_height"] == pytest.approx(0.96)
    assert slider.get_attribute("aria-valuetext") == "0.96 m"


def test_edges_are_rounded(tabs, server):
    tab = tabs.open()
    tab.get_by_label("rounded").check()
    settled(tab)
    assert last_draft(server)["edges"] == {"kind": "rounded", "size": 0.02}
    size = tab.locator("#controls .field").filter(has_text="Size").locator("input").first
    size.fill("90")
    size.press("Enter")
    settled(tab)
    assert last_draft(server)["edges"] == {"kind": "rounded", "size": 0.04}


def test_a_layout_is_kept_and_held_against(tabs):
    tab = tabs.open()
    drag(tab, "tweeter", 20, 0)
    settled(tab)
    tab.locator("#pin").click()
    assert tab.locator("#against select").input_value() != ""
    assert "layout 1" in tab.locator("#against select").inner_text()
    assert figure(tab, "Left against right")[1] == "the same"
    kept = tab.locator("#axis .pinned").first.get_attribute("d")
    assert kept == curves(tab, "axis")[-1]  # the axis is drawn last, over the others
    drag(tab, "tweeter", -20, 0)
    settled(tab)
    value, words = figure(tab, "Left against right")
    assert words.startswith("more alike by")
    assert value.endswith(" dB")
    assert tab.locator("#axis .pinned").first.get_attribute("d") == kept
    tab.get_by_role("button", name="Go back to it").click()
    settled(tab)
    assert figure(tab, "Left against right")[1] == "the same"


def test_small_differences_are_not_called_audible(tabs):
    tab = tabs.open()
    words = tab.evaluate(
        """async () => {
            const { inWords } = await import("./figures.js");
            return [0.02, -0.42, 0.42, -0.5, 1.26].map((d) => inWords(d, "smoother", "rougher"));
        }"""
    )
    assert words == [
        "the same",
        "smoother by 0.4 dB, hardly audible",
        "rougher by 0.4 dB, hardly audible",
        "smoother by 0.5 dB",
        "rougher by 1.3 dB",
    ]


def test_curves_are_read_off_by_keys_and_by_pointer(tabs):
    tab = tabs.open()
    number = tab.locator("#read-hertz")
    number.fill("2k")
    number.press("Enter")
    assert tab.locator("#read-at").get_attribute("aria-valuetext") == "1.98 kHz"  # the nearest
    shown = tab.locator("#seat .key output").first.inner_text()
    box = tab.locator("#axis svg.chart").first.bounding_box()
    tab.mouse.move(box["x"] + box["width"] * 0.3, box["y"] + box["height"] / 2)
    assert tab.locator("#seat .key output").first.inner_text() != shown
    tab.locator("#read-at").focus()
    before = tab.locator("#read-at").get_attribute("aria-valuetext")
    tab.keyboard.press("ArrowRight")
    assert tab.locator("#read-at").get_attribute("aria-valuetext") != before


def test_what_is_read_off_is_what_came(tabs, server):
    """The values of the key against the arrays that the server sent, at 1 kHz."""
    tab = tabs.open()
    number = tab.locator("#read-hertz")
    number.fill("1000")
    number.press("Enter")
    arrays, _ = curves_of(server.design["draft"])
    near = abs(FREQUENCY - 1000).argmin()
    for panel, wanted in {
        "seat": arrays["seat"][:, near],
        "axis": [arrays["axis"][near], arrays["window"][near], *arrays["each"][:, near]],
    }.items():
        shown = tab.locator(f"#{panel} .key output").all_inner_texts()
        assert shown == [f"{value:.1f} dB".replace("-", "−") for value in wanted]


def test_the_map_shows_where_it_would_do_better(tabs, server):
    tab = tabs.open()
    tab.get_by_text("Where would it do better?").click()
    tab.get_by_role("button", name="Map its places").click()
    said = tab.locator("#map [role=status]")
    tab.get_by_role("button", name="Move it to the best place").wait_for()
    assert "Best place for" in said.inner_text()
    assert "dB" in tab.locator("#map .ends").inner_text()
    assert tab.locator("#front .under path").count() > 5
    tab.get_by_role("button", name="Move it to the best place").click()
    settled(tab)
    _, up = place(tab, "tweeter")
    assert f"{abs(up):g} mm" in said.inner_text()
    tab.get_by_role("button", name="Take the map away").click()
    assert tab.locator("#front .under path").count() == 0
    assert server.said[-1]["ask"] == "no map"


def test_how_good_the_curves_are_is_said_in_words(tabs, server):
    tab = tabs.open()
    assert "Exact" in tab.locator("#state").inner_text()
    server.state = "coarse"
    try:
        drag(tab, "tweeter", 10, 0)
        tab.locator("#state[data-state=coarse]").wait_for()
        assert "Coarse" in tab.locator("#state").inner_text()
        assert "ports are left out" in tab.locator("#lacks").inner_text()
    finally:
        server.state = ""
    drag(tab, "tweeter", 5, 0)
    settled(tab)
    assert tab.locator("#lacks").inner_text() == ""
