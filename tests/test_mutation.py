"""Small changes of the code are noticed by its tests: what is changed, and a sample of it."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from pathlib import Path

import pytest

from support.code_changes import changes_of
from support.equal_changes import EQUAL
from support.mutation import PARTS, drawn

SCRIPT = Path(__file__).parent / "support" / "mutation.py"

MODULE = '''"""Words."""
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy

LIMIT = 3.0
"""More words."""

def above(value: float, wide: bool = True) -> bool:
    if value < 0 and wide:
        raise ValueError("negative")
    return value - 1 >= LIMIT
'''


def test_what_is_changed():
    tree = ast.parse(MODULE)
    changes = changes_of(tree)
    assert [(change.line, change.words) for change in changes] == [
        (7, "3.0 → 6.0 in LIMIT = 3.0"),
        (10, "True → False in value: float, wide: bool=True"),
        (11, "not value < 0 and wide"),
        (11, "And → Or in value < 0 and wide"),
        (11, "Lt → LtE in value < 0"),
        (11, "Lt → Gt in value < 0"),
        (11, "0 → 1 in value < 0"),
        (12, "left out: raise ValueError('negative')"),
        (13, "return not value - 1 >= LIMIT"),
        (13, "Sub → Add in value - 1"),
        (13, "1 → 2 in value - 1"),
        (13, "GtE → Gt in value - 1 >= LIMIT"),
        (13, "GtE → Lt in value - 1 >= LIMIT"),
    ]


def test_each_change_stands_alone():
    tree = ast.parse(MODULE)
    answers = []
    for change in changes_of(tree):
        names = {}
        exec(change.code(tree, "changed"), names)
        answers.append([_told(names["above"], value) for value in (-1.0, 0.0, 2.5, 4.0, 7.5)])
        assert ast.unparse(tree) == ast.unparse(ast.parse(MODULE))
    plain = ["negative", False, False, True, True]
    assert answers[0] == ["negative", False, False, False, True]
    assert answers[2] == [False, "negative", "negative", "negative", "negative"]
    assert answers[4] == ["negative", "negative", False, True, True]
    assert answers[-2] == ["negative", False, False, False, True]
    assert plain not in answers


def _told(function, value):
    try:
        return function(value)
    except ValueError as error:
        return str(error)


def test_changes_listed_as_equal_are_still_there():
    places = {each.place for part in PARTS.values() for each in _all_of(part)}
    assert set(EQUAL) <= places
    assert all(len(reason.split()) >= 4 for reason in EQUAL.values())


def _all_of(part):
    return drawn(part, 10**6, 0, known=())


def test_the_same_sample_every_time():
    part = PARTS["crossover"]
    first, second = ([each.place for each in drawn(part, 20, 5)] for _ in range(2))
    assert first == second != [each.place for each in drawn(part, 20, 6)]


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "fork"), reason="children begin where a process forks")
@pytest.mark.parametrize("part", ["crossover", "listening"])
def test_a_sample_is_noticed(part):
    done = subprocess.run(
        [sys.executable, str(SCRIPT), part, "--count", "10", "--seed", "1"],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
