from __future__ import annotations

import copy
import json
import tomllib
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from bench_text import FURNISHED, PARTS, SOURCE, SWEEP
from enclosure_text import ENCLOSED
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from acoustics.case import read_case
from acoustics.conventions import CaseError, Fault

FaultsOf = Callable[[str | bytes], tuple[Fault, ...]]


@pytest.mark.parametrize(
    "text",
    [
        "cabinet = 3\ndrivers = 4\ncrossover = 5\nreference = 6\nseat = 7\nfloor = 8\naims = 9\n",
        "aims = [1]\ndrivers = [2]\n[crossover]\ntweeter = []\n",
        "placement = 1\nceiling = 2\nfront_wall = []\n[rear_wall]\nabsorber = 4\n",
        "[seat]\ndistance = {}\near_heights = {}\nothers = 3\n",
        "[seat.others]\nmain = 1\nx = []\n[ceiling]\nabsorber = { thickness = {} }\n",
        "[drivers]\ntweeter = 1\n[[cabinet]]\n[[seat]]\n[[frequencies]]\n",
    ],
)
def test_tables_that_are_none_are_faults(faults_of: FaultsOf, text: str) -> None:
    assert any(" is not a " in fault.message for fault in faults_of(text))


def _places(value: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """The path of everything inside `value`."""
    found = [path] if path else []
    if isinstance(value, dict | list):
        for key, inner in value.items() if isinstance(value, dict) else enumerate(value):
            found += _places(inner, (*path, key))
    return found


def _toml(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{json.dumps(k)} = {_toml(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_toml(item) for item in value) + "]"
    if isinstance(value, date):
        return value.isoformat()
    return repr(value).lower() if isinstance(value, bool | float) else json.dumps(value)


JUNK = st.one_of(
    st.sampled_from(
        [
            0,
            -1,
            10**30,
            10**400,
            date(2024, 1, 1),
            True,
            float("nan"),
            float("inf"),
            [],
            {},
            [[]],
            [{}],
            {"x": 1},
        ]
    ),
    st.sampled_from(
        [
            "",
            "0 mm",
            "-1 m",
            "1e300 m",
            "5,6 mm",
            "3 kg",
            "peak",
            "tweeter",
            "1e-300 s",
            "mirrored pair",
            "1 kPa s/m2",
            "0.1 m",
            "90 deg",
            "5 g",
            "0.1 ohm",
            "2 l",
            "3.3 uF",
            "side by side",
            "passive",
        ]
    ),
    st.text(max_size=5).filter(str.isprintable),
)


@pytest.mark.slow
@settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.data())
def test_no_value_anywhere_makes_it_stumble(tmp_path: Path, data: st.DataObject) -> None:
    content = copy.deepcopy(tomllib.loads(FURNISHED + SOURCE + ENCLOSED + SWEEP))
    content["crossover"]["woofer"] = tomllib.loads(PARTS)["crossover"]["tweeter"]
    for _ in range(data.draw(st.integers(1, 3))):
        path = data.draw(st.sampled_from(_places(content)))
        table: Any = content
        for part in path[:-1]:
            table = table[part]
        table[path[-1]] = copy.deepcopy(data.draw(JUNK))
    file = tmp_path / "case.toml"
    file.write_text("".join(f"{json.dumps(k)} = {_toml(v)}\n" for k, v in content.items()))
    try:
        read_case(file)
    except CaseError as error:
        for fault in error.faults:
            assert fault.line is not None
            assert fault.message
            assert "Input should" not in fault.message
            assert "Value error" not in fault.message
