from __future__ import annotations

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from acoustics.case.text.lines import Path, line_index, line_of

TEXT = '''# a comment with [brackets] = "and quotes"
title = "a # no comment [x]"
note = """
[not.a.table]
key = 1 \\""" still text
"""
other = \'\'\'
[nor.this]
\'\'\'
air.temperature = "20 degC"
"quoted \\u0041.key".inner = 1.5

[drivers."my tweeter"]  # comment ]
position = [
  "0 mm",   # right

  "120 mm", # up
]
sensitivity = -89.5e0
[crossover.tweeter]
sections = [
  {type = "peak", gain = 1},
  { type = "high-pass", nested = { a.b = 3 } },
  [ 1, [2,
     3] ],
]
when = 1979-05-27 07:32:00
[[aims]]
measure = "ripple"
[[aims]]
[aims.inner]
x = 1
[[aims]]
measure = "tilt"
[[aims.parts]]
y = 1
[[aims.parts]]
y = 2
'''


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("title",), 2),
        (("note",), 3),
        (("other",), 7),
        (("air",), 10),
        (("air", "temperature"), 10),
        (("quoted A.key", "inner"), 11),
        (("drivers",), 13),
        (("drivers", "my tweeter"), 13),
        (("drivers", "my tweeter", "position"), 14),
        (("drivers", "my tweeter", "position", 0), 15),
        (("drivers", "my tweeter", "position", 1), 17),
        (("drivers", "my tweeter", "sensitivity"), 19),
        (("crossover", "tweeter", "sections", 0, "gain"), 22),
        (("crossover", "tweeter", "sections", 1, "nested", "a", "b"), 23),
        (("crossover", "tweeter", "sections", 2, 1, 1), 25),
        (("crossover", "tweeter", "when"), 27),
        (("aims",), 28),
        (("aims", 0, "measure"), 29),
        (("aims", 1), 30),
        (("aims", 1, "inner", "x"), 32),
        (("aims", 2, "measure"), 34),
        (("aims", 2, "parts", 0, "y"), 36),
        (("aims", 2, "parts", 1, "y"), 38),
    ],
)
def test_each_key_has_its_line(path: Path, line: int) -> None:
    assert line_index(TEXT)[path] == line


def test_a_missing_key_has_the_line_of_its_table() -> None:
    lines = line_index(TEXT)
    assert line_of(lines, ("drivers", "my tweeter", "frame_diameter")) == 13
    assert line_of(lines, ("aims", 1, "measure")) == 30
    assert line_of(lines, ("crossover", "tweeter", "sections", 0, "q")) == 22
    assert line_of(lines, ("seat", "distance")) == 1


def test_line_ends_of_other_systems_count_once() -> None:
    assert line_index("a = 1\r\n\r\n[b]\r\nc = 2\r\n")[("b", "c")] == 4


def _paths(value: object, path: Path = ()) -> set[Path]:
    found: set[Path] = {path} if path else set()
    if isinstance(value, dict):
        for key, inner in value.items():
            found |= _paths(inner, (*path, key))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            found |= _paths(inner, (*path, index))
    return found


def test_every_path_that_the_parser_knows_is_found() -> None:
    assert set(line_index(TEXT)) == _paths(tomllib.loads(TEXT))


KEYS = st.sampled_from(["a", "b-c", "d_1", '"e f"', "'g.h'"])
VALUES = st.recursive(
    st.sampled_from(
        ["1", "-2.5e3", "true", '"x # ["', "'y]'", "1979-05-27T07:32:00Z", '"""z\n"""']
    ),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3).map(lambda items: "[\n" + ",\n".join(items) + "]"),
        st.dictionaries(KEYS, inner, max_size=3).map(
            lambda table: "{" + ", ".join(f"{key} = {value}" for key, value in table.items()) + "}"
        ),
    ),
    max_leaves=8,
)


@given(st.dictionaries(KEYS, VALUES, max_size=4))
def test_any_valid_text_is_scanned_whole(table: dict[str, str]) -> None:
    text = "".join(f"{key} = {value} # end\n" for key, value in table.items())
    assert set(line_index(text)) == _paths(tomllib.loads(text))
