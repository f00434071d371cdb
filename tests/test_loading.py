"""Packages load the names they offer when these are first used."""

from __future__ import annotations

import subprocess
import sys
from importlib import import_module

import pytest

from acoustics.loading import on_first_use

PACKAGES = [
    "acoustics",
    "acoustics.case",
    "acoustics.figures",
    "acoustics.report",
    "acoustics.studies",
    "acoustics.studies.structure",
]


@pytest.mark.parametrize("package", PACKAGES)
def test_every_name_offered_is_there(package):
    module = import_module(package)
    assert module.__all__
    missing = [name for name in module.__all__ if not hasattr(module, name)]
    assert not missing


@pytest.mark.parametrize("package", PACKAGES)
def test_a_name_that_is_not_offered(package):
    with pytest.raises(AttributeError, match=f"module '{package}' has no attribute 'nothing'"):
        _ = import_module(package).nothing


def test_names_come_from_the_files_given():
    load = on_first_use("acoustics", {"files": ("write_text",), "case.text.units": ("parse",)})
    from acoustics.case.text.units import parse
    from acoustics.files import write_text

    assert load("write_text") is write_text
    assert load("parse") is parse


def test_a_package_alone_loads_none_of_its_files():
    """In a process of its own: here other tests have loaded them."""
    code = (
        f"import sys\nfor package in {PACKAGES!r}: __import__(package)\n"
        "print([name for name in sys.modules if name.startswith('acoustics.case.')])"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"
