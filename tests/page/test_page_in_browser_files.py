"""The live page and the file behind it: saving, clashes, changes by others, lost connections."""

from __future__ import annotations

import copy

import pytest

from support.browser import violations
from support.page_stand_in import stand_in
from support.page_tabs import LOST, drag, looked_at, place, settled

pytestmark = pytest.mark.browser

KEYS = ("drivers.tweeter.position.1", "seat.distance")


@pytest.fixture
def server():
    with stand_in() as one:
        yield one


@pytest.fixture
def tabs(browser, server):
    with looked_at(browser, server.address) as opened:
        yield opened


def saves(server):
    return [each for each in server.said if each["ask"] == "save"]


def move(tab, millimetres="7"):
    field = tab.locator("#places fieldset").filter(has_text="tweeter").locator("input").first
    field.fill(millimetres)
    field.press("Enter")
    settled(tab)


def test_what_is_saved_is_what_is_set(tabs, server):
    tab = tabs.open()
    assert tab.locator("#save").is_disabled()
    move(tab)
    tab.locator("#save").click()
    tab.get_by_text("Saved to").wait_for()
    assert tab.locator("#save").is_disabled()
    (asked,) = saves(server)
    assert asked["seen"] == "first"
    assert asked["over"] == []
    assert asked["draft"]["places"]["tweeter"] == [0.007, 0.125]
    move(tab, "8")
    assert tab.locator("#save").is_enabled()
    tab.locator("#save").click()
    tab.locator("#save:disabled").wait_for()
    assert saves(server)[-1]["seen"] == "second"


@pytest.fixture
def clashed(tabs, server):
    """A tab whose two changes clash with what somebody else wrote into the file."""
    tab = tabs.open()
    move(tab)
    distance = tab.locator("#controls .field").filter(has_text="Distance").locator("input")
    distance.fill("3")
    distance.press("Enter")
    settled(tab)
    theirs = copy.deepcopy(server.design)
    theirs["draft"]["places"]["tweeter"][0] = -0.02
    theirs["draft"]["distance"] = 2.0
    theirs["draft"]["places"]["woofer"][1] = -0.033
    theirs["seen"] = "theirs"
    server.design = theirs
    server.clashing = {
        KEYS[0]: {"mine": "7 mm", "theirs": "-20 mm"},
        KEYS[1]: {"mine": "3 m", "theirs": "2 m"},
    }
    tab.locator("#save").click()
    tab.locator("#clash").wait_for(state="visible")
    return tab


def test_a_clash_is_shown_and_nothing_is_decided_for_the_person(clashed, server):
    words = clashed.locator("#clash-keys").inner_text()
    for part in (*KEYS, "7 mm", "-20 mm", "3 m", "2 m"):
        assert part in words
    assert violations(clashed) == []
    clashed.get_by_role("button", name="Leave the file as it is").click()
    assert not clashed.locator("#clash").is_visible()
    assert len(saves(server)) == 1
    assert place(clashed, "tweeter") == (7, 125)
    assert clashed.locator("#save").is_enabled()


def test_mine_go_over_theirs_when_chosen(clashed, server):
    clashed.get_by_role("button", name="Save with this choice").click()
    clashed.get_by_text("Saved to").wait_for()
    assert saves(server)[-1]["over"] == list(KEYS)
    assert saves(server)[-1]["draft"]["places"]["tweeter"][0] == pytest.approx(0.007)


def test_theirs_are_taken_where_they_are_chosen(clashed, server):
    clashed.locator("#clash fieldset").first.get_by_label("in the file").check()
    clashed.get_by_role("button", name="Save with this choice").click()
    clashed.get_by_text("Saved to").wait_for()
    last = saves(server)[-1]
    assert last["over"] == [KEYS[1]]
    assert last["seen"] == "theirs"
    assert last["draft"]["places"]["tweeter"] == [-0.02, 0.125]
    assert last["draft"]["distance"] == 3
    # What only they had changed stays theirs.
    assert last["draft"]["places"]["woofer"] == [0, -0.033]
    settled(clashed)
    assert place(clashed, "tweeter") == (-20, 125)


@pytest.fixture
def changed(tabs, server):
    """A tab with a change of its own, whose file somebody else has changed."""
    tab = tabs.open()
    move(tab)
    server.design = copy.deepcopy(server.design)
    server.design["draft"]["places"]["woofer"][1] = -0.03
    server.design["seen"] = "theirs"
    keys = {"drivers.woofer.position.2": ["-20 mm", "-30 mm"]}
    server.tell({"say": "changed", "seen": "theirs", "keys": keys})
    tab.get_by_text("is another now").wait_for()
    return tab


def test_a_file_that_was_changed_is_taken_up_when_asked(changed):
    assert "-30 mm" in changed.locator("#notices").inner_text()
    assert violations(changed) == []
    assert place(changed, "woofer") == (0, -20)
    changed.get_by_role("button", name="Take it up").click()
    settled(changed)
    changed.locator("#save:disabled").wait_for()
    assert place(changed, "woofer") == (0, -30)
    assert place(changed, "tweeter") == (0, 125)
    changed.locator("#undo").click()
    assert place(changed, "tweeter") == (7, 125)


def test_or_one_goes_on(changed, server):
    changed.get_by_role("button", name="Go on with mine").click()
    assert changed.locator(".notice").count() == 0
    assert place(changed, "tweeter") == (7, 125)
    changed.locator("#save").click()
    changed.get_by_text("Saved to").wait_for()
    assert saves(server)[-1]["seen"] == "first"


def test_tabs_have_drafts_of_their_own(tabs):
    one, other = tabs.open(), tabs.open()
    move(one)
    assert place(other, "tweeter") == (0, 125)
    move(other, "-9")
    assert place(one, "tweeter") == (7, 125)


def test_a_server_that_comes_back_finds_the_draft_as_it_was(tabs, server):
    tab = tabs.open()
    move(tab)
    server.stop()
    tab.locator("#state[data-state=lost]").wait_for()
    assert tab.locator("#save").is_disabled()
    drag(tab, "tweeter", 20, 0)  # one may go on
    right, _ = place(tab, "tweeter")
    assert right > 15
    server.said.clear()
    server.start()
    settled(tab)
    assert server.said[-1]["draft"]["places"]["tweeter"][0] == pytest.approx(right / 1000)
    assert tab.locator("#save").is_enabled()
    assert all(LOST in each for each in tabs.complaints)
    tabs.complaints.clear()
