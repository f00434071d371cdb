"""A draft as a case and as text: reading what was written is the outside check of both."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from acoustics.case import read_case
from acoustics.case.build import digest
from acoustics.conventions import CaseError, RoundoverError
from acoustics.studies.live.draft import Draft, Edges
from acoustics.studies.live.drafts import changed_keys, draft_of, drafted, edges_of
from acoustics.studies.live.saving import keys_between, saved_text
from support.cases import CASES, shipped_text
from support.live import written

SHIPPED = sorted(each.parent.name for each in CASES.glob("*/case.toml"))


def moved(case, draft: Draft, by: float) -> Draft:
    """All that can change, changed a little."""
    passive = [case.is_passive(driver.name) for driver in case.drivers]
    return replace(
        draft,
        places=tuple((right + by, up + by / 2) for right, up in draft.places),
        ear_height=draft.ear_height + by,
        distance=draft.distance + by,
        corners=tuple((1 + by) * corner for corner in draft.corners),
        delays=tuple(
            delay if still else delay + by * 1e-3
            for delay, still in zip(draft.delays, passive, strict=True)
        ),
        edges=draft.edges if case.cabinet.shape == "plate" else Edges("rounded", 0.004),
    )


def saved(case, draft, text: str | None = None) -> str:
    folder = Path(case.path).parent
    return saved_text(text or Path(case.path).read_text("utf-8"), case, draft, (folder, folder))


@pytest.mark.parametrize("name", SHIPPED)
def test_a_case_passes_as_a_draft_unchanged(name):
    case = read_case(CASES / name)
    draft = draft_of(case)
    assert changed_keys(case, draft) == {}
    assert edges_of(case, draft) is None
    assert drafted(case, draft).digest == case.digest
    assert saved(case, draft) == Path(case.path).read_text("utf-8")


@pytest.mark.parametrize("name", SHIPPED)
def test_a_draft_is_what_the_file_with_its_values_reads_as(tmp_path, name):
    case = read_case(CASES / name)
    draft = moved(case, draft_of(case), 0.003)
    found = drafted(case, draft)
    file = tmp_path / "case.toml"
    folders = Path(case.path).parent, tmp_path
    file.write_text(saved_text(Path(case.path).read_text("utf-8"), case, draft, folders), "utf-8")
    again = read_case(file)
    # A file cannot say that its drivers were measured in another layout; a draft knows.
    assert digest(replace(found, measured_in=None)) == again.digest
    for place, wanted in zip(draft_of(again).places, draft.places, strict=True):
        assert place == pytest.approx(wanted)
    assert draft_of(again).corners == pytest.approx(draft.corners, rel=1e-5)
    assert draft_of(again).ear_height == pytest.approx(draft.ear_height)
    assert again.title == case.title
    assert (again.sweep is None) == (case.sweep is None)


def test_measured_drivers_stay_measured_where_they_were():
    case = read_case(CASES / "compact-measured")
    found = drafted(case, moved(case, draft_of(case), 0.003))
    assert found.measured_in is not None
    assert found.measured_in.driver("tweeter").position == case.driver("tweeter").position


def metres(low, high):
    return st.floats(low, high).map(lambda value: round(value, 5))


@settings(
    max_examples=8, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None
)
@given(
    right=metres(-0.02, 0.02),
    up=metres(-0.015, 0.007),  # beyond, frames meet, or the chamfer
    ear=st.floats(0.4, 1.9),
    corner=st.floats(800.0, 6000.0),
    delay=st.floats(0.0, 2e-3),
    edges=st.sampled_from([Edges(), Edges("square"), Edges("chamfered", 0.0123)]),
)
def test_whatever_is_saved_reads_as_the_draft(tmp_path, right, up, ear, corner, delay, edges):
    case = written(tmp_path)
    draft = replace(
        draft_of(case),
        places=((right, 0.12 + up), (right / 2, -0.03)),
        ear_height=ear,
        corners=(corner,),
        delays=(delay, 0.0),
        edges=edges,
    )
    text = saved(case, draft)
    (tmp_path / "saved.toml").write_text(text, encoding="utf-8")
    assert read_case(tmp_path / "saved.toml").digest == drafted(case, draft).digest


def test_only_what_differs_is_named(tmp_path):
    case = written(tmp_path)
    start = draft_of(case)
    draft = replace(start, places=((0.0275, 0.125), start.places[1]), corners=(2500.0,))
    assert changed_keys(case, draft) == {
        "drivers.tweeter.position.1": "27.5 mm",
        "crossover.tweeter.sections.1.frequency": "2500 Hz",
        "crossover.woofer.sections.1.frequency": "2500 Hz",
    }


def test_both_sides_of_a_crossover_move_in_one_ratio():
    case = read_case(CASES / "floorstander")
    start = draft_of(case)
    draft = replace(start, corners=(1.1 * start.corners[0], start.corners[1]))
    keys = changed_keys(case, draft)
    assert keys == {
        "crossover.woofer.sections.1.frequency": "385 Hz",
        "crossover.midrange.sections.1.low_frequency": "385 Hz",
    }


def test_the_ears_take_the_place_of_those_nearest_the_axis(tmp_path):
    case = written(tmp_path)  # ears at 0.85, 0.95 and 1.05 m, the axis at 0.95 m
    draft = replace(draft_of(case), ear_height=1.2)
    assert changed_keys(case, draft) == {"seat.ear_heights.2": "1.2 m"}
    assert drafted(case, draft).seat.ear_heights == (0.85, 1.2, 1.05)
    # A height that is there already needs no writing: a file has each once.
    assert changed_keys(case, replace(draft, ear_height=1.05)) == {}


def test_edges_of_the_front_change_and_others_stay(tmp_path):
    rounds = '\nrounds = [{ edges = ["front left", "top left"], radius = "8 mm" }]\n'
    text = shipped_text("compact-centred").replace(
        "[drivers.tweeter]", rounds + "[drivers.tweeter]"
    )
    (tmp_path / "case.toml").write_text(text, encoding="utf-8")
    case = read_case(tmp_path)
    square = drafted(case, replace(draft_of(case), edges=Edges("square")))
    assert [(each.edge, each.radius) for each in square.cabinet.rounds] == [("top left", 0.008)]
    soft = drafted(case, replace(draft_of(case), edges=Edges("chamfered", 0.01)))
    assert [each.edge for each in soft.cabinet.rounds] == ["top left"]
    assert {each.edge for each in soft.cabinet.chamfers} == {
        "front left", "front right", "front top", "front bottom",
    }  # fmt: skip
    assert {each.setbacks for each in soft.cabinet.chamfers} == {(0.01, 0.01)}


def test_frames_in_the_way_are_heard_and_pistons_are_not(tmp_path):
    case = written(tmp_path)
    start = draft_of(case)
    near = replace(start, places=((0.0, 0.07), start.places[1]))  # 90 mm apart, frames need 132.5
    (tmp_path / "saved.toml").write_text(saved(case, near), encoding="utf-8")
    with pytest.raises(CaseError, match="overlaps"):
        read_case(tmp_path / "saved.toml")
    heard = drafted(case, near)
    assert heard.driver("tweeter").position == (0.0, 0.07)
    assert [each.frame_diameter for each in heard.drivers] == [
        each.frame_diameter for each in case.drivers
    ]
    assert heard.enclosures == case.enclosures
    upon = replace(start, places=((0.0, 0.0), start.places[1]))
    with pytest.raises(CaseError, match=r"frame overlaps that of 'tweeter'"):
        drafted(case, upon)
    off = replace(start, places=((0.105, 0.125), start.places[1]))
    with pytest.raises(CaseError, match="tweeter"):
        drafted(case, off)


def test_comments_stay_and_a_file_changed_elsewhere_keeps_both(tmp_path):
    case = written(tmp_path)
    draft = replace(draft_of(case), places=((0.02, 0.125), (0.0, -0.02)), delays=(1e-5, 0.0))
    before = Path(case.path).read_text("utf-8")
    elsewhere = before.replace('spacing = "2 m"', 'spacing = "2.4 m"   # the new room')
    text = saved(case, draft, elsewhere)
    assert keys_between(elsewhere, text) == {
        "drivers.tweeter.position.1": ("0 mm", "20 mm"),
        "crossover.tweeter.delay": ("", "0.01 ms"),
    }
    assert keys_between(before, text)["placement.spacing"] == ("2 m", "2.4 m")
    comments = [line.split("#", 1)[1] for line in elsewhere.splitlines() if "#" in line]
    assert [line.split("#", 1)[1] for line in text.splitlines() if "#" in line] == comments


def test_what_differs_between_two_texts():
    old = 'title = "a"\nlist = ["1 mm", "2 mm"]\n[table]\nnumber = 1.5\nempty = []\nflag = true\n'
    new = 'title = "a"\nlist = ["1 mm", "3 mm", "4 mm"]\n[table]\nnumber = 2.0\nflag = false\n'
    assert keys_between(old, new) == {
        "list.2": ("2 mm", "3 mm"),
        "list.3": ("", "4 mm"),
        "table.number": ("1.5", "2.0"),
        "table.empty": ("[]", ""),
        "table.flag": ("true", "false"),
    }
    with pytest.raises(RoundoverError, match="no TOML text any more"):
        keys_between(old, "title = ")


def test_a_list_that_is_gone_from_the_file_is_refused(tmp_path):
    case = written(tmp_path)
    draft = replace(draft_of(case), ear_height=1.2)
    text = Path(case.path).read_text("utf-8").replace('["0.85 m", "0.95 m", "1.05 m"]', '["1 m"]')
    with pytest.raises(RoundoverError, match="1 entries"):
        saved(case, draft, text)
