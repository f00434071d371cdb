"""A case written again with other values: comments, paths, and what lies round the old design."""

from __future__ import annotations

import itertools
import tomllib

import pytest

from acoustics.case import read_case
from acoustics.case.design.place_model import Treatment
from acoustics.case.rewritten import with_passive_crossover, with_values
from acoustics.case.varied import varied_case
from acoustics.conventions import RoundoverError
from support.cases import CASES, shipped_text

VALUES = {
    "cabinet.width": "240 mm",
    "drivers.tweeter.position.1": "12 mm",
    "drivers.tweeter.position.2": "128 mm",
    "drivers.tweeter.acoustic_depth": "-3 mm",
    "drivers.woofer.small_signal.force_factor": "7.2 T m",
    "seat.ear_heights.2": "0.96 m",
    "floor.reflection": 0.8,
    "ceiling.height": "2.4 m",
    "solver.accuracy": 0.2,
}
SOFT = Treatment(
    "soft",
    rounds=(("front left", 0.02), ("front right", 0.02)),
    chamfers=(("back top", (0.01, 0.01)), ("back bottom", (0.01, 0.015))),
)


def written(folder, text, values, **changes):
    new = with_values(text, values, "New title", (CASES / "any", folder), **changes)
    (folder / "case.toml").write_text(new, encoding="utf-8")
    return new


def comments_of(text):
    return [line.partition("# ")[2] for line in text.splitlines() if "# " in line]


@pytest.mark.parametrize("name", ["compact-offset", "compact-passive"])
def test_it_reads_back_as_the_case_varied(tmp_path, name):
    written(tmp_path, shipped_text(name), VALUES)
    case, old = read_case(tmp_path), read_case(CASES / name)
    assert case.title == "New title"
    # The same through the reading that sweeps take.
    assert case.digest == varied_case(old, VALUES).digest != old.digest
    assert case.driver("tweeter").position == (0.012, 0.128)
    assert case.driver("woofer").small_signal.force_factor == 7.2
    assert case.driver("woofer").model == old.driver("woofer").model
    assert (case.place, case.aims) == (old.place, old.aims)
    assert (case.tolerance is None) == (old.tolerance is None)


@pytest.mark.parametrize("name", ["compact-offset", "compact-sweep", "floorstander"])
def test_comments_stay_where_they_were(tmp_path, name):
    text = shipped_text(name)
    values = {key: value for key, value in VALUES.items() if not key.startswith("floor")}
    new = written(tmp_path, text, values, edges=SOFT)
    told = comments_of(new)
    if name == "compact-sweep":  # what speaks of a value goes with it
        text = text.replace("# too far:", "too far:")
    told.remove("with other values; comments may tell of those before")
    assert told == comments_of(text)
    # A comment stays right before the table it speaks of.
    lines = text.splitlines()
    headed = [pair for pair in itertools.pairwise(lines) if pair[1].startswith("[")]
    headed = [pair for pair in headed if "sweep" not in pair[1]]
    spoken = ["\n".join(pair) for pair in headed if pair[0].startswith("#")]
    assert len(spoken) >= 2
    assert [pair for pair in spoken if pair not in new] == []


def test_written_again_it_says_the_same(tmp_path):
    new = written(tmp_path, shipped_text("compact-offset"), VALUES, edges=SOFT)
    again = with_values(new, VALUES, "New title", (tmp_path, tmp_path), edges=SOFT)
    assert again == new


ROUNDED = """\
title = "Rounded"  # a name

[cabinet]
width = "220 mm"
# about the rounds
[[cabinet.rounds]]
radius = "5 mm"

# about the chamfers
[[cabinet.chamfers]]
edges = ["back top"]
setback = "5 mm"

# about the tweeter
[drivers.tweeter]
position = [
    "0 mm",  # to the right
    "1 mm",  # up
]

[seat]
others.beside.aside = "1 m"
ear_heights = ["1 m"]

[place.drivers.tweeter]

[[tolerance.spreads]]
key = "cabinet.rounds.1.radius"
within = "1 mm"

[[tolerance.spreads]]
key = "cabinet.width"
within = "1 mm"

[[sweep.over]]
key = "cabinet.rounds.1.radius"
values = ["1 mm"]
"""


def parsed(tmp_path, values, **changes):
    new = written(tmp_path, ROUNDED, values, **changes)
    return new, tomllib.loads(new)


def test_edges_replace_those_of_the_cabinet(tmp_path):
    new, data = parsed(tmp_path, {}, edges=SOFT)
    assert data["cabinet"] == {
        "width": "220 mm",
        "chamfers": [
            {"edges": ["back top"], "setback": "10 mm"},
            {"edges": ["back bottom"], "setbacks": ["10 mm", "15 mm"]},
        ],
        "rounds": [{"edges": ["front left", "front right"], "radius": "20 mm"}],
    }
    assert new.partition("\n[drivers.tweeter]")[0].endswith("# about the tweeter")
    # What strays of edges that are gone would be a key that is none.
    assert [each["key"] for each in data["tolerance"]["spreads"]] == ["cabinet.width"]
    assert "place" in data
    assert "sweep" not in data
    sharp = parsed(tmp_path, {}, edges=Treatment("sharp"))[1]
    assert sharp["cabinet"] == {"width": "220 mm"}


def test_without_edges_they_stay(tmp_path):
    _, data = parsed(tmp_path, {"cabinet.rounds.1.radius": "7 mm"})
    old = tomllib.loads(ROUNDED)
    assert data["cabinet"]["rounds"] == [{"radius": "7 mm"}]
    assert data["cabinet"]["chamfers"] == old["cabinet"]["chamfers"]
    assert data["tolerance"] == old["tolerance"]


def test_keys_go_where_they_belong_however_tables_are_written(tmp_path):
    values = {
        "drivers.tweeter.position.2": "9 mm",
        "drivers.tweeter.small_signal.compliance": "1 mm/N",
        "seat.others.beside.distance": "2 m",
        "seat.others.behind.aside": "0 m",
        "cabinet.depth": "300 mm",
    }
    new, data = parsed(tmp_path, values)
    assert data["drivers"]["tweeter"]["position"] == ["0 mm", "9 mm"]
    assert data["drivers"]["tweeter"]["small_signal"] == {"compliance": "1 mm/N"}
    assert data["seat"] == {
        "others": {
            "beside": {"aside": "1 m", "distance": "2 m"},
            "behind": {"aside": "0 m"},
        },
        "ear_heights": ["1 m"],
    }
    assert data["cabinet"]["depth"] == "300 mm"
    assert "# to the right" in new
    assert "# up" in new


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("drivers.tweeter.position.3", "has 2 entries, counted from 1"),
        ("drivers.tweeter.position.0", "has 2 entries, counted from 1"),
        ("drivers.tweeter.profile.1.2", "has no such list"),
    ],
)
def test_an_entry_that_is_not_there_is_refused(tmp_path, key, words):
    with pytest.raises(RoundoverError, match=words):
        parsed(tmp_path, {key: "1 mm"})


def test_another_crossover_leaves_nothing_that_names_the_old_one(tmp_path):
    table = """
[place]
corners = [["1.8 kHz", "2.8 kHz"]]
[place.delays]
tweeter = ["0 us", "9 us"]
[[tolerance.spreads]]
key = "crossover.tweeter.level"
within = 0.5
"""
    source = tmp_path / "old.toml"
    text = shipped_text("compact-centred")
    source.write_text(text.replace('"../', f'"{CASES}/') + table, encoding="utf-8")
    assert read_case(source).place.corners
    ladders = {"tweeter": (), "woofer": ()}
    turned = {"tweeter": False, "woofer": False}
    new = with_passive_crossover(source.read_text(), ladders, turned, "New", (tmp_path, tmp_path))
    (tmp_path / "case.toml").write_text(new, encoding="utf-8")
    case = read_case(tmp_path)
    assert (case.place.corners, case.place.delays) == ((), ())
    assert case.tolerance is None or case.tolerance.usual
