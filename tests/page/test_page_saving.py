"""Saving changes what was set and nothing else, and loses nobody's work."""

from __future__ import annotations

import os
import stat
import tomllib

import pytest

from acoustics.page.reading import digest_of
from support.page_site import running

MOVED = "drivers.tweeter.position.2"
OTHER = "drivers.woofer.position.2"


def moved(draft, up, driver="tweeter"):
    return {**draft, "places": {**draft["places"], driver: [0.0, up]}}


def edit(site, old, new):
    """As somebody does it in an editor."""
    text = site.path.read_text(encoding="utf-8")
    assert old in text
    site.path.write_text(text.replace(old, new), encoding="utf-8")


def values(site):
    return tomllib.loads(site.path.read_text(encoding="utf-8"))


def save(tab, serial, draft, seen, over=()):
    tab.ask("save", serial=serial, draft=draft, seen=seen, over=list(over))


def test_only_what_was_set_is_written_and_comments_stay(site):
    before = site.path.read_text(encoding="utf-8").splitlines()
    site.path.chmod(0o640)
    with site.tab() as tab:
        design = tab.begun()
        save(tab, 1, moved(design["draft"], 0.12), design["seen"])
        saved = tab.until("saved")
    after = site.path.read_text(encoding="utf-8")
    assert saved["serial"] == 1
    assert saved["keys"] == {MOVED: "120 mm"}
    assert saved["seen"] == digest_of(after)
    pairs = zip(before, after.splitlines(), strict=True)
    assert [pair for pair in pairs if pair[0] != pair[1]] == [
        ('position = ["0 mm", "125 mm"]', 'position = ["0 mm", "120 mm"]')
    ]
    assert stat.S_IMODE(site.path.stat().st_mode) == 0o640
    assert sorted(each.name for each in site.path.parent.iterdir()) == ["case.toml"]


def test_nothing_set_writes_nothing(site):
    before = site.path.stat()
    with site.tab() as tab:
        design = tab.begun()
        save(tab, 1, design["draft"], design["seen"])
        assert tab.until("saved")["keys"] == {}
    assert site.path.stat().st_mtime_ns == before.st_mtime_ns


def test_two_tabs_keep_what_each_of_them_set(site):
    with site.tab() as one, site.tab() as other:
        design = one.begun()
        other.begun()
        save(one, 1, moved(design["draft"], 0.12), design["seen"])
        first = one.until("saved")
        changed = other.until("changed")
        assert changed["keys"] == {MOVED: ["125 mm", "120 mm"]}
        assert changed["seen"] == first["seen"]
        mine = moved(design["draft"], -0.04, "woofer")
        save(other, 1, mine, design["seen"])
        assert other.until("saved")["keys"] == {OTHER: "-40 mm"}
        # What the first one set is in the file still, and this tab is told so once more.
        assert other.until("changed")["keys"] == {MOVED: ["125 mm", "120 mm"]}
        save(other, 2, moved(mine, -0.05, "woofer"), changed["seen"])
        assert other.until("saved", serial=2)["keys"] == {OTHER: "-50 mm"}
    drivers = values(site)["drivers"]
    assert drivers["tweeter"]["position"] == ["0 mm", "120 mm"]
    assert drivers["woofer"]["position"] == ["0 mm", "-50 mm"]


def test_two_tabs_that_set_the_same_clash_and_a_person_decides(site):
    with site.tab() as one, site.tab() as other:
        design = one.begun()
        other.begun()
        save(one, 1, moved(design["draft"], 0.12), design["seen"])
        one.until("saved")
        mine = moved(design["draft"], 0.115)
        save(other, 1, mine, design["seen"])
        clash = other.until("clash")
        assert clash["keys"] == {MOVED: {"mine": "115 mm", "theirs": "120 mm"}}
        assert values(site)["drivers"]["tweeter"]["position"] == ["0 mm", "120 mm"]
        save(other, 2, mine, clash["seen"], [MOVED])
        assert other.until("saved")["keys"] == {MOVED: "115 mm"}
        assert one.until("changed")["keys"] == {MOVED: ["120 mm", "115 mm"]}
    assert values(site)["drivers"]["tweeter"]["position"] == ["0 mm", "115 mm"]


def test_a_decision_is_about_the_value_that_was_shown(site):
    with site.tab() as tab:
        design = tab.begun()
        mine = moved(design["draft"], 0.115)
        edit(site, '"125 mm"', '"120 mm"')
        # Nobody was shown the new value: what the tab sends does not count.
        save(tab, 1, mine, design["seen"], [MOVED])
        clash = tab.until("clash")
        edit(site, '"120 mm"', '"122 mm"')
        save(tab, 2, mine, clash["seen"], [MOVED])
        assert tab.until("clash", serial=2)["keys"][MOVED]["theirs"] == "122 mm"
    assert values(site)["drivers"]["tweeter"]["position"] == ["0 mm", "122 mm"]


def test_an_editor_and_a_tab_keep_what_each_of_them_set(site):
    with site.tab() as tab:
        design = tab.begun()
        edit(site, "# What is behind the woofer:", "# A remark of my own.\n# What is behind it:")
        edit(site, 'tuning = "42 Hz"', 'tuning = "40 Hz"')
        assert tab.until("changed")["keys"] == {"enclosures.bass.tuning": ["42 Hz", "40 Hz"]}
        save(tab, 1, moved(design["draft"], 0.12), design["seen"])
        tab.until("saved")
    text = site.path.read_text(encoding="utf-8")
    assert "# A remark of my own." in text
    assert 'tuning = "40 Hz"' in text
    assert '["0 mm", "120 mm"]' in text


def test_the_same_value_from_both_is_no_clash(site):
    with site.tab() as tab:
        design = tab.begun()
        edit(site, '"125 mm"', '"120 mm"')
        save(tab, 1, moved(design["draft"], 0.12), design["seen"])
        tab.until("saved")


def test_reading_the_file_again_begins_anew(site):
    with site.tab() as tab:
        tab.begun()
        edit(site, '"125 mm"', '"120 mm"')
        tab.ask("file")
        design = tab.until("design")
        assert design["draft"]["places"]["tweeter"] == [0.0, 0.12]
        assert design["seen"] == digest_of(site.path.read_text(encoding="utf-8"))
        save(tab, 1, moved(design["draft"], 0.115), design["seen"])
        assert tab.until("saved")["keys"] == {MOVED: "115 mm"}


def test_a_tab_that_lost_its_connection_saves_against_what_it_had_read(site):
    with site.tab() as tab:
        design = tab.begun()
    edit(site, '"125 mm"', '"120 mm"')
    with site.tab() as tab:
        assert tab.begun()["seen"] != design["seen"]
        save(tab, 1, moved(design["draft"], 0.115), design["seen"])
        assert tab.until("clash")["keys"] == {MOVED: {"mine": "115 mm", "theirs": "120 mm"}}


def test_a_file_that_nobody_was_told_of_is_not_saved_against(site):
    with site.tab() as tab:
        design = tab.begun()
        save(tab, 1, moved(design["draft"], 0.115), "0" * 64)
        assert "has not read" in tab.until("trouble")["words"]
    assert values(site)["drivers"]["tweeter"]["position"] == ["0 mm", "125 mm"]


def test_edges_that_were_saved_are_drawn_from_then_on(site):
    with site.tab() as tab:
        design = tab.begun()
        draft = {**design["draft"], "edges": {"kind": "rounded", "size": 0.012}}
        save(tab, 1, draft, design["seen"])
        saved = tab.until("saved")
        assert {text for key, text in saved["keys"].items() if key.endswith("radius")} == {"12 mm"}
        again = tab.until("design")
        assert again["seen"] == saved["seen"]
        assert again["draft"]["edges"]["kind"] == "as drawn"
    (rounding,) = values(site)["cabinet"]["rounds"]
    assert rounding["radius"] == "12 mm"
    assert len(rounding["edges"]) == 4


def test_edges_clash_as_a_whole(site):
    with site.tab() as tab:
        design = tab.begun()
        edit(
            site,
            "base_height",
            'rounds = [{ edges = ["front left"], radius = "9 mm" }]\nbase_height',
        )
        draft = {**design["draft"], "edges": {"kind": "rounded", "size": 0.009}}
        save(tab, 1, draft, design["seen"])
        assert all(key.startswith("cabinet.rounds.1.") for key in tab.until("clash")["keys"])


def _invalid_toml(site):
    site.path.write_text("title = [", encoding="utf-8")


def _no_case(site):
    site.path.write_text('title = "no drivers"\n', encoding="utf-8")


def _gone(site):
    site.path.unlink()


@pytest.mark.parametrize(
    ("harm", "words"),
    [(_invalid_toml, "no valid case"), (_no_case, "no valid case"), (_gone, "no such file")],
)
def test_a_file_that_is_harmed_meanwhile_is_not_written(site, harm, words):
    with site.tab() as tab:
        design = tab.begun()
        harm(site)
        left = site.path.read_bytes() if site.path.exists() else None
        save(tab, 1, moved(design["draft"], 0.12), design["seen"])
        while words not in (said := tab.until("trouble")["words"]):
            assert "file" in said  # that it was changed may be told first
        assert (site.path.read_bytes() if site.path.exists() else None) == left
        tab.ask("file")
        assert "cannot be taken up" in tab.until("trouble")["words"]
        tab.ask("hear", serial=2, held=True, draft=design["draft"])
        tab.until("curves", serial=2)


def test_a_write_protected_file_is_not_written(site):
    site.path.chmod(0o444)
    with site.tab() as tab:
        design = tab.begun()
        save(tab, 1, moved(design["draft"], 0.12), design["seen"])
        assert "write protection" in tab.until("trouble")["words"]
    assert values(site)["drivers"]["tweeter"]["position"] == ["0 mm", "125 mm"]


def test_a_draft_that_makes_no_valid_case_is_not_written(site):
    before = site.path.read_bytes()
    with site.tab() as tab:
        design = tab.begun()
        # The frames overlap: heard, but no case.
        save(tab, 1, moved(design["draft"], 0.08), design["seen"])
        words = tab.until("trouble")["words"]
        assert "no valid case" in words
        assert "overlap" in words
    assert site.path.read_bytes() == before
    assert [each.name for each in site.path.parent.iterdir()] == ["case.toml"]


def test_a_link_stays_a_link_and_a_byte_order_mark_stays(tmp_path):
    with running(tmp_path) as site:
        real = tmp_path / "real.toml"
        os.replace(site.path, real)
        real.write_bytes(b"\xef\xbb\xbf" + real.read_bytes().replace(b"\n", b"\r\n"))
        site.path.symlink_to(real)
        with site.tab() as tab:
            design = tab.begun()
            save(tab, 1, moved(design["draft"], 0.12), design["seen"])
            tab.until("saved")
        assert site.path.is_symlink()
        written = real.read_bytes()
        assert written.startswith(b"\xef\xbb\xbf")
        assert written.count(b"\n") == written.count(b"\r\n")


def test_a_file_that_changes_tells_every_tab_once(site):
    with site.tab() as one, site.tab() as other:
        one.begun()
        other.begun()
        edit(site, '"125 mm"', '"121 mm"')
        for tab in (one, other):
            assert tab.until("changed")["keys"] == {MOVED: ["125 mm", "121 mm"]}
        edit(site, '"121 mm"', '"125 mm"')
        assert one.until("changed")["keys"] == {}
        _gone(site)
        assert "no such file" in one.until("trouble")["words"]


def test_what_others_wrote_is_kept_from_a_tab_that_saved_and_lost_its_connection(site):
    with site.tab() as tab:
        design = tab.begun()
        edit(site, 'position = ["0 mm", "-20 mm"]', 'position = ["0 mm", "-30 mm"]')
        draft = moved(design["draft"], 0.12)
        save(tab, 1, draft, design["seen"])
        saved = tab.until("saved")
    edit(site, 'tuning = "42 Hz"', 'tuning = "40 Hz"')
    with site.tab() as tab:
        tab.begun()
        save(tab, 2, moved(draft, 0.121), saved["seen"])
        assert tab.until("saved")["keys"] == {MOVED: "121 mm"}
    assert values(site)["drivers"]["woofer"]["position"] == ["0 mm", "-30 mm"]
    assert values(site)["enclosures"]["bass"]["tuning"] == "40 Hz"
