"""Every message is checked in form and against the design before anything is done with it."""

from __future__ import annotations

import copy
import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from acoustics.page.checked import checked_draft
from acoustics.page.design import design_message, draft_message
from acoustics.page.messages import Hear, NotUnderstoodError, ReadFile, Save, read_message
from acoustics.page.reading import read_file
from acoustics.studies.live.draft import Edges
from acoustics.studies.live.drafts import draft_of
from support.cases import CASES
from support.scripted_studio import remembered_limits

READING = read_file(CASES / "compact-centred")
DRAFT = draft_of(READING.case)
DESIGN = json.loads(
    json.dumps(design_message(READING, DRAFT, remembered_limits(READING.case)), allow_nan=False)
)
SENT = DESIGN["draft"]


def hear(**changes):
    return {"ask": "hear", "serial": 3, "held": True, "draft": SENT, **changes}


def drafted(**changes):
    return read_message(json.dumps(hear(draft={**SENT, **changes})))


def test_a_message_is_read():
    message = read_message(json.dumps(hear()))
    assert isinstance(message, Hear)
    assert (message.serial, message.held) == (3, True)
    assert checked_draft(message.draft, DESIGN) == DRAFT
    assert isinstance(read_message('{"ask":"file","serial":4}'), ReadFile)
    save = read_message(json.dumps({"ask": "save", "serial": 1, "draft": SENT, "seen": "ab"}))
    assert isinstance(save, Save)
    assert save.over == []


@pytest.mark.parametrize(
    "text",
    [
        "",
        "null",
        "[]",
        '"hear"',
        "{",
        "{}",
        '{"ask":"everything"}',
        '{"ask":["hear"]}',
        '{"ask":"file","path":"/etc/passwd"}',
        '{"ask":"file"} {"ask":"file"}',
        json.dumps(hear(serial=-1)),
        json.dumps(hear(serial=2**53)),
        json.dumps(hear(serial=1.5)),
        json.dumps(hear(serial="1")),
        json.dumps(hear(serial=True)),
        json.dumps(hear(held=1)),
        json.dumps(hear(held="false")),
        json.dumps(hear(draft=None)),
        json.dumps(hear(more=1)),
        json.dumps(hear(draft={**SENT, "colour": "red"})),
        json.dumps(hear(draft={**SENT, "ear_height": float("nan")})),
        json.dumps(hear(draft={**SENT, "ear_height": float("inf")})),
        json.dumps(hear(draft={**SENT, "ear_height": True})),
        json.dumps(hear(draft={**SENT, "ear_height": "0.95"})),
        json.dumps(hear(draft={**SENT, "corners": 2200.0})),
        json.dumps(hear(draft={**SENT, "edges": {"kind": "melted", "size": 0.0}})),
        json.dumps(hear(draft={**SENT, "places": {"tweeter": [0.0], "woofer": [0.0, 0.0]}})),
        json.dumps(hear(draft={**SENT, "places": {"tweeter": [0, 0, 0], "woofer": [0, 0]}})),
        json.dumps(hear()).replace("0.95", "1e999"),
        json.dumps(hear()).replace("0.95", "9" * 5000),
        "[" * 5000,
        '{"ask":' * 2000,
        "\ud800",
        json.dumps({"ask": "save", "serial": 1, "draft": SENT, "seen": "a" * 65}),
        json.dumps({"ask": "save", "serial": 1, "draft": SENT, "seen": "", "over": [1]}),
    ],
)
def test_what_is_no_message_is_refused_in_words(text):
    with pytest.raises(NotUnderstoodError, match="not understood") as refused:
        read_message(text)
    assert len(str(refused.value)) <= 400


ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner),
    max_leaves=8,
)


@settings(max_examples=20, deadline=None, derandomize=True)
@given(st.sampled_from(["draft", "places", "corners", "delays", "edges", "serial"]), ANYTHING)
def test_whatever_is_sent_is_a_draft_within_limits_or_refused(key, value):
    message = copy.deepcopy(hear())
    (message if key in message else message["draft"])[key] = value
    try:
        read = read_message(json.dumps(message))
        draft = checked_draft(read.draft, DESIGN)
    except NotUnderstoodError:
        return
    low, high = DESIGN["limits"]["ear_height"]
    assert low <= draft.ear_height <= high
    assert len(draft.places) == len(draft.delays) == 2
    assert len(draft.corners) == 1


def test_a_draft_goes_there_and_back():
    message = drafted(places={"woofer": [0.01, -0.05], "tweeter": [-0.002, 0.12]}, corners=[1800])
    draft = checked_draft(message.draft, DESIGN)
    assert draft.places == ((-0.002, 0.12), (0.01, -0.05))  # in the order of the case
    assert draft.corners == (1800.0,)
    assert checked_draft(
        read_message(json.dumps(hear(draft=draft_message(READING.case, draft)))).draft, DESIGN
    ) == draft  # fmt: skip


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"places": {"tweeter": [0.0, 0.1]}}, "other drivers"),
        ({"places": {**SENT["places"], "super": [0.0, 0.0]}}, "other drivers"),
        ({"places": {**SENT["places"], "tweeter": [1.0, 0.1]}}, "'tweeter' across"),
        ({"places": {**SENT["places"], "tweeter": [0.0, -9.0]}}, "'tweeter' up"),
        ({"delays": {"tweeter": 0.0, "woofer": -1e-4}}, "delay of 'woofer'"),
        ({"delays": {"tweeter": 0.0, "woofer": 1.0}}, "delay of 'woofer'"),
        ({"ear_height": 40.0}, "ear height"),
        ({"distance": -2.5}, "distance"),
        ({"corners": []}, "0 crossovers"),
        ({"corners": [10.0]}, "woofer to tweeter"),
        ({"corners": [2200.0] * 500}, "500 crossovers"),
        ({"edges": {"kind": "rounded", "size": 0.5}}, "size"),
        ({"edges": {"kind": "rounded", "size": -0.01}}, "size"),
    ],
)
def test_what_the_page_does_not_let_one_set_is_refused(changes, words):
    with pytest.raises(NotUnderstoodError, match=words):
        checked_draft(drafted(**changes).draft, DESIGN)


def test_rounding_in_the_browser_is_no_fault():
    right, up = DESIGN["drivers"][0]["span"]
    message = drafted(places={**SENT["places"], "tweeter": [right[1] + 1e-12, up[0] - 1e-12]})
    assert checked_draft(message.draft, DESIGN).places[0] == (right[1], up[0])


def test_what_cannot_be_moved_stays():
    design = copy.deepcopy(DESIGN)
    design["drivers"][1] |= {"movable": False, "why": "it fills its face"}
    design["limits"]["corners"][0] |= {"movable": False, "why": "its parts decide"}
    design["limits"]["edges"][2]["why"] = "too thin"
    assert checked_draft(drafted().draft, design) == DRAFT
    for changes, words in (
        ({"places": {**SENT["places"], "woofer": [0.0, 0.0]}}, "fills its face"),
        ({"corners": [2000.0]}, "its parts decide"),
        ({"edges": {"kind": design["limits"]["edges"][2]["kind"], "size": 0.01}}, "too thin"),
    ):
        with pytest.raises(NotUnderstoodError, match=words):
            checked_draft(drafted(**changes).draft, design)


def test_edges_without_a_size_have_none():
    message = drafted(edges={"kind": "square", "size": 0.02})
    assert checked_draft(message.draft, DESIGN).edges == Edges("square", 0.0)


def test_crossovers_that_cannot_be_moved_are_told_and_in_no_draft():
    # A passive crossover: a limit with its reason, no value.
    reading = read_file(CASES / "compact-passive")
    draft = draft_of(reading.case)
    limits = remembered_limits(reading.case)
    design = json.loads(json.dumps(design_message(reading, draft, limits)))
    assert len(design["draft"]["corners"]) < len(design["limits"]["corners"])
    sent = read_message(json.dumps(hear(draft=design["draft"])))
    assert checked_draft(sent.draft, design) == draft
