"""The live page with all that is behind it: the command, the server, the studies, the file."""

from __future__ import annotations

import os
import subprocess
import sys
from contextlib import contextmanager

import pytest

from acoustics import predict, read_case
from acoustics.listening.standard_curves import standard_curves
from support.cases import shipped_text
from support.page_tabs import curves, drag, figure, looked_at, place, settled

pytestmark = pytest.mark.browser

RUN = "from acoustics.cli.main import run; run()"
STOPS = 20
"""s"""
PATIENCE = 180_000
"""ms: exact curves of a machine that has other things to do"""


@contextmanager
def served(path):
    """The command over a case; gives the address that it prints."""
    command = [sys.executable, "-c", RUN, "page", str(path), "--no-browser"]
    surroundings = {**os.environ, "PYTHONUNBUFFERED": "1"}
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=surroundings) as process:
        try:
            yield next(word for word in process.stdout.readline().split() if "http" in word)
        finally:
            process.terminate()
            process.wait(STOPS)


@pytest.fixture(scope="module")
def case(tmp_path_factory):
    path = tmp_path_factory.mktemp("page") / "case.toml"
    path.write_text(shipped_text("compact-centred"), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def address(case):
    with served(case) as one:
        yield one


@pytest.fixture
def tabs(browser, address, case):
    case.write_text(shipped_text("compact-centred"), encoding="utf-8")
    with looked_at(browser, address, PATIENCE) as opened:
        yield opened


@pytest.mark.parametrize("frequency", [1000, 5000])
def test_what_is_shown_is_what_the_command_predicts(tabs, case, frequency):
    """By the standard's curves of a prediction on the case's own grid."""
    tab = tabs.open()
    field = tab.locator("#read-hertz")
    field.fill(str(frequency))
    field.press("Enter")
    read = float(field.input_value())
    shown = tab.locator("#axis .key output").all_inner_texts()[:2]
    wanted = standard_curves(predict(read_case(case))).interp(frequency=read)
    for text, name in zip(shown, ("on_axis", "listening_window"), strict=True):
        level = float(text.removesuffix(" dB").replace("−", "-"))
        # a digit that is shown, and lines between frequencies
        assert level == pytest.approx(float(wanted[name]), abs=0.15)


def test_a_drag_is_heard_and_saved_and_the_comments_stay(tabs, case):
    tab = tabs.open()
    before = case.read_text(encoding="utf-8")
    sides = curves(tab, "sides")
    drag(tab, "tweeter", 20, 0)
    settled(tab)
    assert curves(tab, "sides") != sides
    assert figure(tab, "Left against right")[1].startswith("less alike by")
    right, up = place(tab, "tweeter")
    tab.locator("#save").click()
    tab.get_by_text("Saved to").wait_for()
    after = case.read_text(encoding="utf-8")
    assert read_case(case).driver("tweeter").position == pytest.approx((right / 1e3, up / 1e3))
    lines, saved = before.splitlines(), after.splitlines()
    assert len(lines) == len(saved)
    changed = [new for old, new in zip(lines, saved, strict=True) if old != new]
    assert len(changed) == 1
    assert changed[0].startswith("position")


def test_a_file_changed_by_an_editor_is_noticed_and_taken_up(tabs, case):
    tab, other = tabs.open(), tabs.open()
    text = case.read_text(encoding="utf-8")
    case.write_text(text.replace('["0 mm", "-20 mm"]', '["0 mm", "-30 mm"]'), encoding="utf-8")
    for each in (tab, other):
        each.get_by_text("is another now").wait_for()
        assert "-30 mm" in each.locator("#notices").inner_text()
    tab.get_by_role("button", name="Take it up").click()
    settled(tab)
    assert place(tab, "woofer") == (0, -30)
    assert place(other, "woofer") == (0, -20)


def test_a_second_tab_does_not_write_over_the_first(tabs, case):
    one, other = tabs.open(), tabs.open()
    for tab, there in ((one, "8"), (other, "-9")):
        field = tab.locator("#places fieldset").filter(has_text="tweeter").locator("input").first
        field.fill(there)
        field.press("Enter")
        settled(tab)
    one.locator("#save").click()
    one.get_by_text("Saved to").wait_for()
    other.locator("#save").click()
    other.locator("#clash").wait_for(state="visible")
    assert "8 mm" in other.locator("#clash-keys").inner_text()
    assert read_case(case).driver("tweeter").position[0] == pytest.approx(0.008)
    other.get_by_role("button", name="Save with this choice").click()
    other.get_by_text("Saved to").wait_for()
    assert read_case(case).driver("tweeter").position[0] == pytest.approx(-0.009)
