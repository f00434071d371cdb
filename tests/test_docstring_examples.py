"""Examples in docstrings run as they stand and give what they say."""

from __future__ import annotations

import doctest
import importlib
from pathlib import Path

import pytest

import acoustics
from support.cases import CASES

TOP = Path(acoustics.__file__).parent
FRONT_DOOR = TOP / "__init__.py"  # its example predicts a whole case, as many tests do
WITH_EXAMPLES = [
    ".".join(file.relative_to(TOP.parent).with_suffix("").parts)
    for file in sorted(TOP.rglob("*.py"))
    if ">>>" in file.read_text(encoding="utf-8") and file != FRONT_DOOR
]


@pytest.mark.parametrize("name", WITH_EXAMPLES)
def test_examples_run(name, monkeypatch):
    monkeypatch.chdir(CASES.parent)
    module = importlib.import_module(name)
    found = doctest.DocTestFinder().find(module)
    assert any(one.examples for one in found)  # an example that is not found is not run
    result = doctest.testmod(module, extraglobs={"ac": acoustics})
    assert result.failed == 0
