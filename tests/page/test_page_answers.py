"""What a tab asks, and when it is answered: the newest at once, exactly when the hand rests."""

from __future__ import annotations

import json
import time

import pytest

from acoustics.page.bounds import LARGEST_MESSAGE, MESSAGES_PER_SECOND, MOST_TABS
from support.asgi_client import Refused
from support.page_site import Line, running
from support.scripted_studio import Script


def moved(draft, up):
    places = {**draft["places"], "tweeter": [0.0, up]}
    return {**draft, "places": places}


def hear(tab: Line, serial, draft, held=False):
    tab.ask("hear", serial=serial, held=held, draft=draft)


def test_a_held_draft_is_answered_quickly_and_never_exactly(site):
    with site.tab() as tab:
        draft = tab.begun()["draft"]
        tab.until("ready", share=1.0)
        hear(tab, 1, moved(draft, 0.1), held=True)
        curves = tab.until("curves")
        assert (curves["serial"], curves["state"]) == (1, "live")
        assert curves["arrays"]["axis"].max() == pytest.approx(180.0)  # 100 mm above 80 dB
        assert tab.socket.silent(0.1)
        assert not site.script.exact_asked


def test_figures_and_warnings_follow_a_moving_hand_now_and_then(site):
    with site.tab() as tab:
        draft = tab.begun()["draft"]
        tab.until("ready", share=1.0)
        bare = []
        for serial in range(1, 9):  # far quicker than figures are told
            hear(tab, serial, moved(draft, 0.1 + serial / 1e4), held=True)
            curves = tab.until("curves", serial=serial)
            assert (curves["warnings"] is None) == (not curves["figures"])
            bare.append(not curves["figures"])
        assert any(bare)
        if bare[-1]:  # the hand holds still: what was left out comes by itself
            curves = tab.until("curves", serial=8)
        assert curves["figures"]
        assert curves["warnings"] == []


def test_let_go_it_is_answered_at_once_and_then_exactly(site):
    site.script.step_takes = 0.1  # else the exact answer may take the place of one not sent yet
    with site.tab() as tab:
        draft = tab.begun()["draft"]
        tab.until("ready", share=1.0)
        hear(tab, 5, draft)
        assert tab.until("curves")["state"] == "live"
        assert tab.until("busy")["what"] == "exact"
        curves = tab.until("curves")
        assert (curves["serial"], curves["state"]) == (5, "exact")


def test_an_exact_answer_is_remembered(site):
    with site.tab() as tab:
        draft = tab.begun()["draft"]
        hear(tab, 1, draft)
        tab.until("curves", state="exact")
        for serial, up in ((2, 0.1), (3, draft["places"]["tweeter"][1])):
            hear(tab, serial, moved(draft, up))
            tab.until("curves", serial=serial, state="exact")
        assert len(site.script.exact_asked) == 2


def test_the_newest_wins(site):
    engine = site.script.engine
    with site.tab() as tab:
        draft = tab.begun()["draft"]
        tab.until("ready", share=1.0)
        engine.free.clear()  # the first answer takes its time
        hear(tab, 1, moved(draft, 0.1), held=True)
        while not engine.asked:
            time.sleep(0.001)
        for serial in range(2, 40):
            hear(tab, serial, moved(draft, 0.1 + serial / 1e4), held=True)
        site.host.run(_nothing())  # the loop has taken them
        engine.free.set()
        tab.until("curves", serial=39)
        assert {each["serial"] for each in tab.passed if each["say"] == "curves"} <= {1}
        assert len(engine.asked) == 2


async def _nothing() -> None:
    pass


def test_a_new_draft_stops_what_is_computed_for_the_old_one(site):
    script = site.script
    script.exact_steps, script.step_takes = 2000, 0.005
    with site.tab() as tab:
        draft = tab.begun()["draft"]
        hear(tab, 1, draft)
        assert script.at_work.wait(10)
        script.exact_steps = 1
        hear(tab, 2, moved(draft, 0.1))
        assert tab.until("curves", state="exact")["serial"] == 2
        assert script.stopped == ["exact"]


def test_slow_work_waits_while_a_hand_moves(site):
    script = site.script
    script.exact_steps, script.step_takes = 20, 0.002
    with site.tab() as one, site.tab() as other:
        draft = one.begun()["draft"]
        other.begun()
        hear(other, 1, draft, held=True)
        other.until("curves")
        one.until("ready", share=1.0)
        hear(other, 1, draft, held=True)
        one.ask("map", serial=2, driver="tweeter", by="relative_ripple", draft=draft)
        one.until("busy", what="map")
        assert one.socket.silent(0.1)
        hear(other, 2, draft)  # let go
        assert one.until("map")["serial"] == 2


def test_fields_that_are_not_there_are_asked_when_the_hand_rests(site):
    with site.tab() as tab:
        draft = tab.begun()["draft"]
        tab.until("ready", share=1.0)
        higher = {**draft, "ear_height": 1.2}
        hear(tab, 1, higher, held=True)
        curves = tab.until("curves")
        assert (curves["state"], curves["missing"]) == ("coarse", "the cabinet's edges")
        hear(tab, 2, higher)
        # What somebody waits for comes first.
        tab.until("curves", serial=2, state="exact")
        tab.until("ready", share=1.0)
        hear(tab, 3, {**moved(draft, 0.1), "ear_height": 1.2}, held=True)
        assert tab.until("curves", serial=3)["state"] == "live"


def test_a_draft_that_cannot_be_built_is_heard_with_words_and_one_off_the_face_is_refused(site):
    with site.tab() as tab:
        draft = tab.begun()["draft"]
        hear(tab, 1, moved(draft, 0.128), held=True)
        assert tab.until("curves")["warnings"] == ["the frame is over an edge"]
        hear(tab, 2, moved(draft, 0.134), held=True)
        refused = tab.until("refused")
        assert (refused["serial"], refused["why"]) == (2, ["the first driver leaves its face"])


def test_what_should_not_happen_is_told_and_the_server_goes_on(site):
    site.script.fails = ZeroDivisionError("float division by zero")
    with site.tab() as tab:
        draft = tab.begun()["draft"]
        hear(tab, 1, draft)
        assert "float division by zero" in tab.until("trouble")["words"]
        (said,) = site.log
        assert "ZeroDivisionError: float division by zero" in said
        assert "Traceback" not in said
        site.script.fails = None
        hear(tab, 2, moved(draft, 0.1))
        tab.until("curves", serial=2, state="exact")


def test_a_map_comes_with_its_progress_and_can_be_called_off(site):
    with site.tab() as tab:
        draft = tab.begun()["draft"]
        tab.ask("map", serial=4, driver="woofer", by="seat_level", draft=draft)
        tab.until("busy", what="map")
        found = tab.until("map")
        assert (found["serial"], found["driver"], found["by"]) == (4, "woofer", "seat_level")
        assert found["arrays"]["values"].shape == (7, 5)
        site.script.exact_steps, site.script.step_takes = 2000, 0.005
        tab.ask("map", serial=5, driver="woofer", by="seat_level", draft=draft)
        tab.until("busy", serial=5)
        tab.ask("no map", serial=6)
        while "map" not in site.script.stopped:
            time.sleep(0.002)


@pytest.mark.parametrize(
    ("about", "words"),
    [({"driver": "horn"}, "driver"), ({"by": "beauty"}, "not mapped")],
)
def test_a_map_of_what_is_not_there_is_refused(site, about, words):
    with site.tab() as tab:
        draft = tab.begun()["draft"]
        asked = {"serial": 1, "driver": "woofer", "by": "seat_level", "draft": draft, **about}
        tab.ask("map", **asked)
        assert words in tab.until("trouble")["words"]


def test_a_message_that_is_none_is_told_and_the_next_is_answered(site):
    with site.tab() as tab:
        draft = tab.begun()["draft"]
        tab.socket.send("{")
        assert "not understood" in tab.until("trouble")["words"]
        hear(tab, 1, {**draft, "corners": []})
        assert "crossovers" in tab.until("trouble")["words"]
        hear(tab, 2, draft, held=True)
        tab.until("curves", serial=2)


def test_bytes_end_the_connection(site):
    with site.tab() as tab:
        tab.begun()
        tab.socket.put({"type": "websocket.receive", "bytes": b"\0"})
        with pytest.raises(Refused) as ended:
            tab.until("never")
        assert ended.value.code == 1003  # RFC 6455, 7.4.1: a type that it cannot accept
    assert not site.opened.tabs


@pytest.mark.parametrize("text", ["x" * (LARGEST_MESSAGE + 1), "ä" * (LARGEST_MESSAGE // 2 + 1)])
def test_a_large_message_ends_the_connection(site, text):
    with site.tab() as tab:
        tab.begun()
        tab.socket.send(text)
        with pytest.raises(Refused) as ended:
            tab.until("never")
        assert ended.value.code == 1009  # likewise: too big to process


def test_beyond_the_rate_the_newest_draft_is_answered_later(site):
    count = 2 * MESSAGES_PER_SECOND
    with site.tab() as tab:
        draft = tab.begun()["draft"]
        for serial in range(1, count + 1):
            hear(tab, serial, moved(draft, 0.1 + serial / 1e5), held=True)
        tab.until("curves", serial=count)
        assert len(site.script.engine.asked) < MESSAGES_PER_SECOND + 20


def test_a_flood_ends_the_connection(site, monkeypatch):
    monkeypatch.setattr("acoustics.page.talk.FLOOD", 1)
    with site.tab() as tab:
        tab.begun()
        for _ in range(20 * MESSAGES_PER_SECOND):
            tab.socket.send("{}")
        with pytest.raises(Refused) as ended:
            tab.until("never")
        assert ended.value.code == 1008
        assert any("too many" in each.get("words", "") for each in tab.passed)


def test_eight_tabs_are_enough(site):
    with site.tab() as first:
        first.begun()
        others = [site.tab() for _ in range(MOST_TABS - 1)]
        for other in others:
            other.__enter__().begun()
        with site.tab() as ninth:
            assert "8 tabs are open already" in ninth.next()["words"]
            with pytest.raises(Refused) as ended:
                ninth.next()
            assert ended.value.code == 1013
        others.pop().__exit__(None, None, None)
        with site.tab() as ninth:
            ninth.begun()
        for other in others:
            other.__exit__(None, None, None)


def test_what_is_told_is_json_that_every_browser_reads(site):
    with site.tab() as tab:
        design = tab.begun()
        json.dumps(design, allow_nan=False)
        assert design["draft"]["places"] == {"tweeter": [0.0, 0.125], "woofer": [0.0, -0.02]}
        assert design["front"]["outline"] == [
            [-0.11, -0.19], [0.11, -0.19], [0.11, 0.19], [-0.11, 0.19],
        ]  # fmt: skip
        assert design["front"]["others"] == [
            {"what": "port rear", "face": "back", "at": [0.0, 0.09], "radius": 0.0275}
        ]
        assert (design["pair"], design["surfaces"]) == (True, ["floor", "front wall"])
        assert len(design["frequency"]) == 199


@pytest.mark.parametrize("compiled", [True, False])
def test_a_tab_is_told_whether_the_solver_must_be_compiled_first(tmp_path, compiled):
    with running(tmp_path, Script(compiled=compiled)) as site, site.tab() as line:
        assert line.begun()["compiled"] is compiled
